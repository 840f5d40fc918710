// The sound input: opened without anything that alters the sound, measured for its level, handed on in numbered blocks.
const SILENT_DB = -72;
const PLAIN = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };

export class Input {
  // `block({epoch, frame, doubtful, samples})` is given every block; `level(peak_db, words)` ten times a second.
  constructor(block, level) {
    Object.assign(this, { block, level });
    this.epoch = crypto.getRandomValues(new Uint32Array(1))[0];
    this.peak = 0;
    this.clipped = 0;
    this.since = performance.now();
    this.quiet = performance.now();
  }

  async open(device, rate) {
    const wanted = device ? { ...PLAIN, deviceId: { exact: device } } : PLAIN;
    const stream = await navigator.mediaDevices.getUserMedia({ audio: wanted });
    const [track] = stream.getAudioTracks();
    // At the input's own rate nothing is made up between its samples.
    if (!this.context) await this.begin(rate || track.getSettings().sampleRate);
    this.unplug();
    this.stream = stream;
    this.source = this.context.createMediaStreamSource(stream);
    this.source.connect(this.gather);
    track.onended = () => this.level(-Infinity, "The input is gone. Plug it in again, or choose another.");
    await this.context.resume();
    return track.getSettings().deviceId;
  }

  async begin(rate) {
    this.context = new AudioContext(rate ? { sampleRate: rate } : {});
    await this.context.audioWorklet.addModule(new URL("./live-worklet.js", import.meta.url));
    this.gather = new AudioWorkletNode(this.context, "gather", { numberOfInputs: 1, channelCountMode: "max" });
    this.gather.port.onmessage = (event) => this.take(event.data);
    this.gather.connect(this.context.destination);
    document.addEventListener("visibilitychange", () => this.context.resume());
  }

  get rate() {
    return this.context.sampleRate;
  }

  async devices() {
    const all = await navigator.mediaDevices.enumerateDevices();
    return all.filter((one) => one.kind === "audioinput");
  }

  unplug() {
    if (!this.source) return;
    this.source.disconnect();
    for (const track of this.stream.getTracks()) track.stop();
  }

  close() {
    this.unplug();
    if (this.context) this.context.close();
  }

  take({ frame, doubtful, samples }) {
    for (const value of samples) {
      const size = Math.abs(value);
      if (size > this.peak) this.peak = size;
      if (size >= 0.999) this.clipped = performance.now();
    }
    this.block({ epoch: this.epoch, frame, doubtful, samples });
    const now = performance.now();
    if (now - this.since < 100) return;
    const decibels = 20 * Math.log10(this.peak || 1e-9);
    if (decibels > SILENT_DB) this.quiet = now;
    this.level(decibels, this.warning(now));
    this.since = now;
    this.peak = 0;
  }

  warning(now) {
    if (this.clipped && now - this.clipped < 4000) return "Overdriven: turn the level down, or the lamp away.";
    if (now - this.quiet > 2000) return "Nothing comes from this input. Choose another, or see to the plug and its level.";
    return "";
  }
}
