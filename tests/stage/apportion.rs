//! The cells of a strip.

use proptest::prelude::*;
use stage::drawing::apportion;

proptest! {
    #[test]
    fn shares_sum_and_are_fair(
        weights in prop::collection::vec(prop_oneof![Just(0u64), 1u64..100, 1u64..100_000_000], 1..80),
        width in 0u16..300,
    ) {
        let cells = apportion(&weights, width);
        let some = weights.iter().filter(|&&weight| weight > 0).count();
        if some > 0 {
            prop_assert_eq!(cells.iter().map(|&cells| u32::from(cells)).sum::<u32>(), u32::from(width));
        }
        for (&a, &at_a) in weights.iter().zip(&cells) {
            prop_assert!(a > 0 || at_a == 0);
            prop_assert!(a == 0 || at_a > 0 || some > usize::from(width));
            for (&b, &at_b) in weights.iter().zip(&cells) {
                if a == b {
                    prop_assert!(at_a.abs_diff(at_b) <= 1, "{} {} {}", a, at_a, at_b);
                }
                if a < b && some <= usize::from(width) {
                    prop_assert!(at_a <= at_b + 1);
                }
            }
        }
    }
}

/// By hand: weights of 60, 30 and 10 on ten cells; four equal weights on ten cells; one tick beside one hour.
#[test]
fn shares_by_hand() {
    assert_eq!(apportion(&[60, 30, 10], 10), [6, 3, 1]);
    assert_eq!(apportion(&[5, 5, 5, 5], 10), [3, 2, 3, 2]);
    assert_eq!(apportion(&[1, 3_600_000], 10), [1, 9]);
    assert_eq!(apportion(&[1, 1, 1], 2).iter().sum::<u16>(), 2);
    assert_eq!(apportion(&[0, 0], 5), [0, 0]);
}
