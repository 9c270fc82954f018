//! Distribution functions that the numbers of the trade rest on: beta, t and
//! normal. Numbers only; what they say of a hitter belongs to the modules that
//! ask. NaN goes in for what is not defined, and comes out.
//!
//! Held against SciPy in tests/statistics.rs: to 1e-10 of the value for
//! parameters up to 10,000.

/// The natural logarithm of the gamma function, `x` above 0; NaN otherwise.
///
/// Source: Lanczos (SIAM J. Numer. Anal. B 1, 86, 1964); the coefficients for
/// g = 7 and nine terms are Godfrey's, from memory.
pub fn ln_gamma(x: f64) -> f64 {
    const G: f64 = 7.0;
    const FIRST: f64 = 0.999_999_999_999_809_9;
    const REST: [f64; 8] = [
        676.520_368_121_885_1,
        -1_259.139_216_722_402_8,
        771.323_428_777_653_1,
        -176.615_029_162_140_6,
        12.507_343_278_686_905,
        -0.138_571_095_265_720_12,
        9.984_369_578_019_572e-6,
        1.505_632_735_149_311_6e-7,
    ];
    if x.is_nan() || x <= 0.0 {
        return f64::NAN;
    }
    if x < 0.5 {
        // The series is for one half and above: gamma(x + 1) = x gamma(x).
        return ln_gamma(x + 1.0) - x.ln();
    }
    let x = x - 1.0;
    let series = REST
        .iter()
        .enumerate()
        .fold(FIRST, |sum, (place, c)| sum + c / (x + 1.0 + place as f64));
    let t = x + G + 0.5;
    0.5 * core::f64::consts::TAU.ln() + (x + 0.5) * t.ln() - t + series.ln()
}

/// The share of a beta distribution of shapes `a` and `b` (both above 0) that
/// lies below `x`: the regularized incomplete beta function. 0 below 0, 1
/// above 1, NaN for shapes that are not above 0.
pub fn beta_cdf(x: f64, a: f64, b: f64) -> f64 {
    beta_below(x, 1.0 - x, a, b)
}

/// [`beta_cdf`] with `1 - x` given beside `x`: near 1 the difference would have
/// lost its digits.
fn beta_below(x: f64, rest: f64, a: f64, b: f64) -> f64 {
    if x.is_nan() || a.is_nan() || b.is_nan() || a <= 0.0 || b <= 0.0 {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 0.0;
    }
    if rest <= 0.0 {
        return 1.0;
    }
    // The fraction converges fast below the mean; above it, the mirror does.
    if x < (a + 1.0) / (a + b + 2.0) {
        beta_by_fraction(x, rest, a, b)
    } else {
        1.0 - beta_by_fraction(rest, x, b, a)
    }
}

/// The continued fraction of the incomplete beta function. Source: NIST Digital
/// Library of Mathematical Functions, 8.17.22, summed by the method of Lentz as
/// Thompson and Barnett changed it (J. Comput. Phys. 64, 490, 1986).
fn beta_by_fraction(x: f64, rest: f64, a: f64, b: f64) -> f64 {
    // It takes about the square root of the larger shape; the bound is for
    // shapes that nobody has.
    const TERMS: u32 = 10_000;
    let not_zero = |value: f64| if value.abs() < 1e-300 { 1e-300 } else { value };
    let ln_front =
        ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * rest.ln() - a.ln();
    let mut c = 1.0;
    let mut d = 1.0 / not_zero(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = d;
    for m in 1..TERMS {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut step = 1.0;
        for term in [even, odd] {
            d = 1.0 / not_zero(1.0 + term * d);
            c = not_zero(1.0 + term / c);
            step = c * d;
            fraction *= step;
        }
        if (step - 1.0).abs() < 1e-15 {
            break;
        }
    }
    ln_front.exp() * fraction
}

/// The `x` below which the share `p` of a beta distribution of shapes `a` and
/// `b` lies; NaN for a `p` outside 0 to 1 and for shapes not above 0.
pub fn beta_quantile(p: f64, a: f64, b: f64) -> f64 {
    if !((0.0..=1.0).contains(&p) && a > 0.0 && b > 0.0) {
        return f64::NAN;
    }
    if p == 0.0 || p == 1.0 {
        return p;
    }
    first_at_least(1.0, |x| beta_cdf(x, a, b) >= p)
}

/// The smallest number from 0 to `high` for which `reached` holds, where it
/// holds from there on. Halves the row of all floating-point numbers, not the
/// span, so a result of 1e-30 is as exact as one of 0.3.
fn first_at_least(high: f64, reached: impl Fn(f64) -> bool) -> f64 {
    let (mut below, mut above) = (0, high.to_bits());
    while above - below > 1 {
        let middle = below + (above - below) / 2;
        if reached(f64::from_bits(middle)) {
            above = middle;
        } else {
            below = middle;
        }
    }
    f64::from_bits(above)
}

/// The share of a t distribution of `df` degrees of freedom (above 0, not
/// necessarily whole) that lies below `t`.
pub fn t_cdf(t: f64, df: f64) -> f64 {
    let above = t_above(t.abs(), df);
    if t > 0.0 { 1.0 - above } else { above }
}

/// The share above `t`, `t` not below 0.
fn t_above(t: f64, df: f64) -> f64 {
    if t.is_infinite() && df > 0.0 {
        return 0.0;
    }
    let square = t * t;
    let sum = df + square;
    // A square beyond all numbers: nothing is above.
    let (x, rest) = if sum.is_infinite() {
        (0.0, 1.0)
    } else {
        (df / sum, square / sum)
    };
    0.5 * beta_below(x, rest, 0.5 * df, 0.5)
}

/// The `t` below which the share `p` of a t distribution of `df` degrees of
/// freedom lies; NaN for a `p` outside 0 to 1 or a `df` not above 0.
pub fn t_quantile(p: f64, df: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || df.is_nan() || df <= 0.0 {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    let above = p.min(1.0 - p);
    let t = if above == 0.0 {
        f64::INFINITY
    } else {
        first_at_least(f64::MAX, |t| t_above(t, df) <= above)
    };
    if p < 0.5 { -t } else { t }
}

/// The point of the standard normal distribution below which the share `p`
/// lies; NaN for a `p` outside 0 to 1.
///
/// Source: Wichura, Algorithm AS 241, PPND16 (Applied Statistics 37, 477,
/// 1988), coefficients from memory and checked by the table.
pub fn normal_quantile(p: f64) -> f64 {
    const NEAR: ([f64; 8], [f64; 8]) = (
        [
            3.387_132_872_796_366_5,
            133.141_667_891_784_38,
            1_971.590_950_306_551_3,
            13_731.693_765_509_46,
            45_921.953_931_549_87,
            67_265.770_927_008_7,
            33_430.575_583_588_13,
            2_509.080_928_730_122_7,
        ],
        [
            1.0,
            42.313_330_701_600_91,
            687.187_007_492_057_9,
            5_394.196_021_424_751,
            21_213.794_301_586_597,
            39_307.895_800_092_71,
            28_729.085_735_721_943,
            5_226.495_278_852_854,
        ],
    );
    const FAR: ([f64; 8], [f64; 8]) = (
        [
            1.423_437_110_749_683_5,
            4.630_337_846_156_546,
            5.769_497_221_460_691,
            3.647_848_324_763_204_5,
            1.270_458_252_452_368_4,
            0.241_780_725_177_450_6,
            0.022_723_844_989_269_184,
            7.745_450_142_783_414e-4,
        ],
        [
            1.0,
            2.053_191_626_637_759,
            1.676_384_830_183_803_8,
            0.689_767_334_985_1,
            0.148_103_976_427_480_08,
            0.015_198_666_563_616_457,
            5.475_938_084_995_345e-4,
            1.050_750_071_644_416_9e-9,
        ],
    );
    const FARTHEST: ([f64; 8], [f64; 8]) = (
        [
            6.657_904_643_501_103,
            5.463_784_911_164_114,
            1.784_826_539_917_291_3,
            0.296_560_571_828_504_87,
            0.026_532_189_526_576_124,
            0.001_242_660_947_388_078_4,
            2.711_555_568_743_487_6e-5,
            2.010_334_399_292_288_1e-7,
        ],
        [
            1.0,
            0.599_832_206_555_888,
            0.136_929_880_922_735_8,
            0.014_875_361_290_850_615,
            7.868_691_311_456_133e-4,
            1.846_318_317_510_054_8e-5,
            1.421_511_758_316_446e-7,
            2.044_263_103_389_939_8e-15,
        ],
    );
    let at = |(over, under): ([f64; 8], [f64; 8]), r: f64| {
        let sum = |c: [f64; 8]| c.iter().rev().fold(0.0, |sum, c| sum * r + c);
        sum(over) / sum(under)
    };
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let from_middle = p - 0.5;
    if from_middle.abs() <= 0.425 {
        return from_middle * at(NEAR, 0.180_625 - from_middle * from_middle);
    }
    let above = p.min(1.0 - p);
    let size = if above == 0.0 {
        f64::INFINITY
    } else {
        let r = (-above.ln()).sqrt();
        if r <= 5.0 {
            at(FAR, r - 1.6)
        } else {
            at(FARTHEST, r - 5.0)
        }
    };
    size.copysign(from_middle)
}
