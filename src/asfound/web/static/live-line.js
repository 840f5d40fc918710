// The line to the bench: every block is kept here until the bench says that it is on the disk, and sent again after a break.
const HEAD = 24;
const MOST_BYTES = 96 * 1024 * 1024;
const SILENT_MS = 4000;
const CLOSED = { ended: 4000, refused: 4001, elsewhere: 4002 };

function packed({ epoch, frame, doubtful, samples }) {
  const message = new ArrayBuffer(HEAD + 4 * samples.length);
  const head = new DataView(message);
  head.setUint32(0, epoch, true);
  head.setUint32(4, doubtful ? 1 : 0, true);
  head.setFloat64(8, frame, true);
  head.setUint32(16, samples.length, true);
  new Float32Array(message, HEAD).set(samples);
  return message;
}

export class Line {
  // `hello()` gives what is said first; `heard(message)` and `state(words)` are told what comes.
  constructor(address, hello, heard, state) {
    Object.assign(this, { address, hello, heard, state });
    this.kept = [];
    this.asked = [];
    this.bytes = 0;
    this.ready = false;
    this.over = false;
    this.tries = 0;
    this.open();
  }

  open() {
    this.socket = new WebSocket(this.address);
    this.socket.onopen = () => this.socket.send(JSON.stringify(this.hello()));
    this.socket.onmessage = (event) => this.told(JSON.parse(event.data));
    this.socket.onclose = (event) => this.lost(event.code);
    this.last = Date.now();
  }

  told(message) {
    this.last = Date.now();
    this.tries = 0;
    if (message.kind === "welcome") this.again(message);
    if (message.kind === "ack") this.drop(message);
    this.heard(message);
  }

  again(message) {
    this.drop(message);
    this.ready = true;
    for (const block of this.kept) this.socket.send(block.message);
    for (const message of this.asked.splice(0)) this.socket.send(message);
    this.state("");
  }

  drop({ epoch, frame }) {
    let upto = 0;
    this.kept.forEach((block, place) => {
      if (block.epoch === epoch && block.end <= frame) upto = place + 1;
    });
    for (const block of this.kept.splice(0, upto)) this.bytes -= block.message.byteLength;
  }

  lost(code) {
    this.ready = false;
    if (Object.values(CLOSED).includes(code)) this.over = true;
    if (code === CLOSED.elsewhere) this.state("This session is open on another page now.");
    if (this.over) return;
    this.tries += 1;
    this.state("No connection to the bench. Fire on: everything is kept here and sent when it is back.");
    setTimeout(() => this.open(), Math.min(3000, 250 * this.tries));
  }

  send(block) {
    const message = packed(block);
    this.kept.push({ epoch: block.epoch, end: block.frame + block.samples.length, message });
    this.bytes += message.byteLength;
    while (this.bytes > MOST_BYTES) this.bytes -= this.kept.shift().message.byteLength;
    if (!this.open_now) return;
    this.socket.send(message);
    // A connection can die without a word; blocks that nobody answers for so long say so.
    if (Date.now() - this.last > SILENT_MS && this.kept.length > 100) {
      this.last = Date.now();
      this.socket.close();
    }
  }

  // The browser knows that a connection is closing before it says so.
  get open_now() {
    return this.ready && this.socket.readyState === WebSocket.OPEN;
  }

  ask(message) {
    if (this.open_now) this.socket.send(JSON.stringify(message));
    else this.asked.push(JSON.stringify(message));
  }

  end() {
    this.over = true;
    this.socket.close();
  }
}
