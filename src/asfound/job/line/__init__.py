"""The quick line: what is typed at the bench, read into entries and printed back."""

from asfound.job.line.echo import describe
from asfound.job.line.memory import LineMemory, remember
from asfound.job.line.parsing import LINE_LIMIT, parse_line
from asfound.job.line.printing import print_line
from asfound.job.line.understood import Understood

__all__ = ["LINE_LIMIT", "LineMemory", "Understood", "describe", "parse_line", "print_line", "remember"]
