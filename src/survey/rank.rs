//! The value at a rank of a list: medians and the like.

use std::cmp::Ordering;

/// The value that stands at `index` once the list is in order; the list is left in another order.
///
/// C. Hoare's FIND (Comm. ACM 4(7), 1961) with equal values set aside, as by E. Dijkstra's flag.
/// The standard library's own, in the form that is built for size, takes n² steps where many
/// values are equal, as in the even parts of a picture: seconds in the picture worker.
pub(crate) fn nth<T: Copy>(
    list: &mut [T],
    index: usize,
    mut compare: impl FnMut(&T, &T) -> Ordering,
) -> T {
    let (mut low, mut high) = (0, list.len());
    while high - low > 1 {
        let mut ends = [list[low], list[low + (high - low) / 2], list[high - 1]];
        ends.sort_unstable_by(&mut compare);
        let pivot = ends[1];
        let (mut less, mut at, mut more) = (low, low, high);
        while at < more {
            match compare(&list[at], &pivot) {
                Ordering::Less => {
                    list.swap(less, at);
                    less += 1;
                    at += 1;
                }
                Ordering::Greater => {
                    more -= 1;
                    list.swap(at, more);
                }
                Ordering::Equal => at += 1,
            }
        }
        if index < less {
            high = less;
        } else if index >= more {
            low = more;
        } else {
            return pivot;
        }
    }
    list[index]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn equal_values_are_compared_once_or_so() {
        let mut list = [7_u8; 10_000];
        let mut compared = 0;
        let found = nth(&mut list, 5_000, |a, b| {
            compared += 1;
            a.cmp(b)
        });
        assert_eq!(found, 7);
        assert!(compared < 20_000, "{compared}");
    }

    proptest! {
        #[test]
        fn it_is_the_value_at_that_place_in_order(
            list in prop::collection::vec(0..20_u8, 1..200),
            place in any::<prop::sample::Index>(),
        ) {
            let index = place.index(list.len());
            let mut sorted = list.clone();
            sorted.sort_unstable();
            prop_assert_eq!(nth(&mut list.clone(), index, u8::cmp), sorted[index]);
        }
    }
}
