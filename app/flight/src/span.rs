//! A span of values: what a machine, a room or a kind of pitch allows.

/// Values from `min` to `max`, both included; the unit stands in the name of
/// what holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Smallest value.
    pub min: f64,
    /// Largest value, not below `min`.
    pub max: f64,
}

impl Span {
    /// Values from `min` to `max`.
    pub const fn new(min: f64, max: f64) -> Span {
        Span { min, max }
    }

    /// One value only.
    pub const fn only(value: f64) -> Span {
        Span::new(value, value)
    }

    /// Whether it holds a value.
    pub fn contains(&self, value: f64) -> bool {
        self.min <= value && value <= self.max
    }

    /// The value of the span nearest to the given one.
    pub fn nearest(&self, value: f64) -> f64 {
        value.max(self.min).min(self.max)
    }

    /// The value at a share of the way from `min` to `max`.
    pub fn at(&self, share: f64) -> f64 {
        self.min + (self.max - self.min) * share
    }

    /// Half-way from `min` to `max`.
    pub fn middle(&self) -> f64 {
        self.at(0.5)
    }

    /// `max` minus `min`.
    pub fn width(&self) -> f64 {
        self.max - self.min
    }

    /// The span seen in a mirror: from `-max` to `-min`.
    pub fn mirrored(&self) -> Span {
        Span::new(-self.max, -self.min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_belong_to_a_span_and_its_nearest_value_is_inside() {
        let span = Span::new(-1.0, 3.0);
        assert!(span.contains(-1.0) && span.contains(3.0) && !span.contains(3.1));
        assert_eq!(
            (span.nearest(9.0), span.nearest(-9.0), span.nearest(2.0)),
            (3.0, -1.0, 2.0)
        );
        assert_eq!(
            (span.middle(), span.at(0.25), span.width()),
            (1.0, 0.0, 4.0)
        );
        assert_eq!(span.mirrored(), Span::new(-3.0, 1.0));
        assert_eq!(Span::only(2.0).width(), 0.0);
    }
}
