//! Drag coefficient of a ball: how it depends on speed and spin.

/// How the drag coefficient of a ball is found.
///
/// A match on this enum is the only place that knows a law, so a law that
/// depends on speed or spin is added as a variant and nothing else changes.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Drag {
    /// The same at every speed and spin, without unit. Published values for
    /// pitched baseballs lie near 0.3 to 0.4 (range: Nathan, Am. J. Phys. 76,
    /// 119, 2008). Must be finite and not negative; 0 is no drag.
    Constant(f64),
}

impl Drag {
    /// The coefficient C_D (no unit) at a speed through the air, m/s, and a
    /// spin parameter S = radius x spin rate / speed (no unit).
    pub fn coefficient(&self, _speed_m_s: f64, _spin_parameter: f64) -> f64 {
        match *self {
            Drag::Constant(coefficient) => coefficient,
        }
    }
}

impl Default for Drag {
    /// 0.35, the value of the design's reference pitch.
    fn default() -> Self {
        Drag::Constant(0.35)
    }
}
