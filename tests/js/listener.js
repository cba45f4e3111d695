/* Runs on the audio thread: tells the frame at which each sound sets in, on the audio clock. */
class Listener extends AudioWorkletProcessor {
  constructor() {
    super();
    this.last = -sampleRate;
  }

  process(inputs) {
    const samples = inputs[0][0];
    if (!samples) return true;
    for (let at = 0; at < samples.length; at += 1) {
      if (Math.abs(samples[at]) < 0.05) continue;
      const frame = currentFrame + at;
      if (frame - this.last > 0.05 * sampleRate) this.port.postMessage(frame / sampleRate);
      this.last = frame;
    }
    return true;
  }
}
registerProcessor("listener", Listener);
