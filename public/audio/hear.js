// Hands what comes in to the page: blocks of samples, each with the frame of the
// audio clock that it begins at. No rules here; those are Rust's.
const BLOCK = 512;

class Hear extends AudioWorkletProcessor {
  block = new Float32Array(BLOCK);
  filled = 0;

  process([[channel]]) {
    // Nothing connected: a block must not hold a gap.
    if (!channel) this.filled = 0;
    else {
      this.block.set(channel, this.filled);
      this.filled += channel.length;
      if (this.filled >= BLOCK) {
        const frame = currentFrame + channel.length - this.filled;
        this.port.postMessage({ frame, samples: this.block });
        this.filled = 0;
      }
    }
    return true;
  }
}

registerProcessor("hear", Hear);
