//! Divides the cells of a strip among lengths of time.

/// Divides `width` cells among `weights` in proportion; returns the cells of each weight, in the same order. The cells
/// add up to `width`, unless every weight is zero. Equal weights get equal cells, give or take one. If there are enough
/// cells, every weight above zero gets at least one. Every other share is its exact quota rounded up or down, and the
/// rounding errors do not add up along the strip.
pub fn apportion(weights: &[u64], width: u16) -> Vec<u16> {
    let width = u64::from(width);
    let some = weights.iter().filter(|&&weight| weight > 0).count() as u64;
    let mut cells = vec![0u16; weights.len()];
    if some == 0 || width == 0 {
        return cells;
    }
    // Give one cell to each of the smallest weights, until every other weight gets at least one of the cells left.
    let mut lifted_up_to = 0;
    let (mut left, mut total);
    loop {
        left = width;
        total = 0u128;
        for &weight in weights.iter().filter(|&&weight| weight > 0) {
            if weight <= lifted_up_to {
                left = left.saturating_sub(1);
            } else {
                total += u128::from(weight);
            }
        }
        let under_one = |weight: u64| u128::from(weight) * u128::from(left) < total;
        let next = weights.iter().copied().filter(|&weight| weight > lifted_up_to && under_one(weight)).max();
        match next {
            Some(next) if some <= width => lifted_up_to = next,
            _ => break,
        }
    }
    let edge = |sum: u128| (sum * u128::from(left) * 2 + total) / (total * 2).max(1);
    let mut sum = 0u128;
    for (cells, &weight) in cells.iter_mut().zip(weights) {
        *cells = if weight > lifted_up_to {
            let from = edge(sum);
            sum += u128::from(weight);
            (edge(sum) - from) as u16
        } else {
            u16::from(weight > 0)
        };
    }
    cells
}
