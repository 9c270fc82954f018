//! The middle of numbers and how far they lie from it, where one far off must
//! not move either. No words here.

/// The middle number, or the mean of the two in the middle; `None` when there
/// are none. NaN is sorted to the end.
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    Some(if sorted.len() % 2 == 1 {
        upper
    } else {
        0.5 * (sorted[sorted.len() / 2 - 1] + upper)
    })
}

/// The median distance from `middle`, times 1.4826: for normal numbers the
/// standard deviation (Hampel, J. Am. Stat. Assoc. 69, 383, 1974, from memory).
pub(crate) fn scaled_mad(values: &[f64], middle: f64) -> Option<f64> {
    let distances: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    Some(1.4826 * median(&distances)?)
}
