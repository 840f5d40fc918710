// Runs in the sound's own thread: gathers 512 samples at a time, numbered, and says where some may be missing.
const BLOCK = 512;
// Held up for longer than this, the browser lets sound fall.
const STALL_MS = 100;
// An input that stops for up to this long and goes on was cut short by the computer, not by a hand.
const SILENCE_S = 0.5;

class Gather extends AudioWorkletProcessor {
  constructor() {
    super();
    this.fresh();
    this.doubtful = false;
    this.called = 0;
    this.silent = 0;
    this.heard = false;
  }

  fresh() {
    this.samples = new Float32Array(BLOCK);
    this.filled = 0;
  }

  process(inputs) {
    const now = Date.now();
    if (this.called && now - this.called > STALL_MS) this.doubt();
    this.called = now;
    const input = inputs[0][0];
    if (!input) {
      this.post();
      return true;
    }
    this.watch(input);
    if (!this.filled) this.first = currentFrame;
    this.samples.set(input, this.filled);
    this.filled += input.length;
    if (this.filled === BLOCK) this.post();
    return true;
  }

  watch(input) {
    if (input.every((value) => value === 0)) {
      this.silent += input.length;
      return;
    }
    if (this.heard && this.silent && this.silent < SILENCE_S * sampleRate) this.doubt();
    this.silent = 0;
    this.heard = true;
  }

  doubt() {
    this.post();
    this.doubtful = true;
  }

  post() {
    if (!this.filled) return;
    const samples = this.filled === BLOCK ? this.samples : this.samples.slice(0, this.filled);
    this.port.postMessage({ frame: this.first, doubtful: this.doubtful, samples }, [samples.buffer]);
    this.doubtful = false;
    this.fresh();
  }
}

registerProcessor("gather", Gather);
