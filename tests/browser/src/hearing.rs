//! What the page plays, heard on its own live context; and a microphone that hears the
//! page and clicks made at known times.

/// To run before the page: whatever it sends to its speaker goes to a recorder too, a
/// worklet on the page's own live context that hands its blocks on. A sound's start is
/// the first sample after 20 ms of silence, in `window.starts`, s of the audio clock.
/// Where `window.hits` names the number of a start, a click comes so many seconds
/// after it, into the microphone of [`MICROPHONE`].
pub const RECORD_SOUND: &str = "
    window.starts = [];
    window.hits = {};
    window.outs = [];
    window.recorder = null;
    const connect = AudioNode.prototype.connect;
    AudioNode.prototype.connect = function (to, ...rest) {
        if (to === this.context.destination) {
            window.live = this.context;
            window.outs.push(this);
            if (window.mic) connect.call(this, window.mic);
            window.recorder ??= this.context.audioWorklet.addModule('/hear.js').then(() => {
                const node = new AudioWorkletNode(this.context, 'hear');
                let last = -Infinity;
                node.port.onmessage = ({data: {frame, samples}}) => {
                    for (let n = 0; n < samples.length; n++) {
                        if (Math.abs(samples[n]) < 1e-4) continue;
                        const at = (frame + n) / this.context.sampleRate;
                        if (at - last > 0.02) {
                            const after = window.hits[starts.length];
                            if (after) window.click(at + after);
                            starts.push(at);
                        }
                        last = at;
                    }
                };
                return node;
            });
            const from = this;
            recorder.then(node => connect.call(from, node));
        }
        return connect.call(this, to, ...rest);
    };
";

/// Gives the page a microphone that hears what the page plays, and what
/// `window.click(at)` makes at a time of the audio clock: noise that dies away in 3 ms.
pub const MICROPHONE: &str = "
    navigator.mediaDevices.getUserMedia = async () => {
        window.mic = live.createMediaStreamDestination();
        for (const out of outs) out.connect(mic);
        return mic.stream;
    };
    window.click = at => {
        const rate = live.sampleRate;
        const buffer = live.createBuffer(1, 0.03 * rate, rate);
        const samples = buffer.getChannelData(0);
        let state = 20261125;
        for (let n = 0; n < samples.length; n++) {
            state = (state * 48271) % 2147483647;
            samples[n] = 0.8 * (state / 1073741824 - 1) * Math.exp(-n / (0.003 * rate));
        }
        const source = live.createBufferSource();
        source.buffer = buffer;
        source.connect(mic);
        source.start(at);
    };
";

/// How far the time from one start to the next is off that of the plan at the most,
/// ms; both in seconds.
#[must_use]
pub fn worst_jitter_ms(starts_s: &[f64], planned_s: &[f64]) -> f64 {
    starts_s
        .windows(2)
        .zip(planned_s.windows(2))
        .map(|(heard, planned)| ((heard[1] - heard[0]) - (planned[1] - planned[0])).abs() * 1e3)
        .fold(0.0, f64::max)
}
