//! The filter that keeps a machine's hum and voices from the listener.

/// A second-order high-pass filter.
#[derive(Debug, Clone, Copy)]
pub(super) struct HighPass {
    gain: f64,
    feedback: [f64; 2],
    state: [f64; 2],
}

impl HighPass {
    /// Two in a row that make a Butterworth filter of fourth order, by the bilinear
    /// transform; `share` is the corner over the sample rate.
    pub(super) fn butterworth(share: f64) -> [Self; 2] {
        use core::f64::consts::PI;
        // Damping of the two pairs of poles, which lie at pi/8 and 3 pi/8.
        [PI / 8.0, 3.0 * PI / 8.0].map(|angle| {
            let warped = (PI * share).tan();
            let damping = 2.0 * angle.cos() * warped;
            let scale = 1.0 / (1.0 + damping + warped * warped);
            Self {
                gain: scale,
                feedback: [
                    2.0 * (warped * warped - 1.0) * scale,
                    (1.0 - damping + warped * warped) * scale,
                ],
                state: [0.0; 2],
            }
        })
    }

    pub(super) fn next(&mut self, heard: f64) -> f64 {
        let input = heard * self.gain;
        let out = input + self.state[0];
        self.state[0] = -2.0 * input - self.feedback[0] * out + self.state[1];
        self.state[1] = input - self.feedback[1] * out;
        out
    }
}
