"""Migrations of the book, one numbered file each; a migration is never changed once it has been released."""
