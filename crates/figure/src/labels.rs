//! Keeping labels apart: as near as possible to where they belong, never on top of each other, never out of order.

/// A label that wants to sit centred on a place and takes a size along one axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Wish {
    /// Where its centre belongs.
    pub(crate) place: f64,
    /// Room that it takes.
    pub(crate) size: f64,
}

/// Centres of the labels, in the order given, inside `low..high`.
///
/// With the labels in order of place, the least sum of squared moves such that each centre keeps half of both sizes
/// from the next: an isotonic regression, solved exactly by pooling neighbours that violate the order. Equal places
/// keep the order given, so leader lines never cross.
///
/// Labels that together need more room than there is are closed up evenly and overlap by the same share each; a figure
/// sizes its room so that this does not happen.
///
/// **Source:** pool-adjacent-violators, Barlow, Bartholomew, Bremner and Brunk 1972, section 1.2.
/// **Checked by:** `property_labels_stay_apart_and_in_order`, `practice_lonely_labels_stay_put`.
pub(crate) fn spread(wishes: &[Wish], low: f64, high: f64) -> Vec<f64> {
    if wishes.is_empty() {
        return Vec::new();
    }
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|&a, &b| wishes[a].place.total_cmp(&wishes[b].place));
    let total: f64 = wishes.iter().map(|w| w.size).sum();
    let squeeze = if total > high - low {
        (high - low) / total
    } else {
        1.0
    };
    // Distance of each centre from the first label's near edge when all stand shoulder to shoulder.
    let mut packed = Vec::with_capacity(order.len());
    let mut edge = 0.0;
    for &i in &order {
        let size = wishes[i].size * squeeze;
        packed.push(edge + 0.5 * size);
        edge += size;
    }
    // What is left after taking that distance off must not fall.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (rank, &i) in order.iter().enumerate() {
        let mut block = (wishes[i].place - packed[rank], 1_usize);
        while let Some(&(mean, count)) = blocks.last() {
            if mean <= block.0 {
                break;
            }
            blocks.pop();
            let all = count + block.1;
            block = (
                (mean * count as f64 + block.0 * block.1 as f64) / all as f64,
                all,
            );
        }
        blocks.push(block);
    }
    let mut centres = vec![0.0; wishes.len()];
    let mut rank = 0;
    for (mean, count) in blocks {
        for _ in 0..count {
            // Clamping the solution solves the problem with bounds.
            centres[order[rank]] = mean.clamp(low, (high - edge).max(low)) + packed[rank];
            rank += 1;
        }
    }
    centres
}

/// An upright box, for finding room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Room {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Room {
    /// Do the boxes share more than an edge.
    pub(crate) fn meets(self, other: Room) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Does a straight line pass through the box.
    pub(crate) fn is_crossed_by(self, from: (f64, f64), to: (f64, f64)) -> bool {
        // Liang and Barsky 1984: the part of the line inside all four edges.
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (direction, distance) in [
            (-dx, from.0 - self.left),
            (dx, self.right - from.0),
            (-dy, from.1 - self.top),
            (dy, self.bottom - from.1),
        ] {
            if direction.abs() < 1e-12 {
                if distance < 0.0 {
                    return false;
                }
            } else if direction < 0.0 {
                enter = enter.max(distance / direction);
            } else {
                leave = leave.min(distance / direction);
            }
        }
        enter <= leave
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wishes(places: &[f64], size: f64) -> Vec<Wish> {
        places.iter().map(|&place| Wish { place, size }).collect()
    }

    #[test]
    fn practice_lonely_labels_stay_put() {
        assert_eq!(
            spread(&wishes(&[10.0, 40.0, 70.0], 12.0), 0.0, 100.0),
            [10.0, 40.0, 70.0]
        );
    }

    #[test]
    fn practice_two_labels_on_one_place_part_evenly() {
        let centres = spread(&wishes(&[50.0, 50.0], 12.0), 0.0, 100.0);
        assert!((centres[0] - 44.0).abs() < 1e-9 && (centres[1] - 56.0).abs() < 1e-9);
    }

    #[test]
    fn property_labels_stay_apart_and_in_order() {
        // A fixed linear congruential sequence: many crowded cases, the same at every run.
        let mut state = 7_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as f64 / (1_u64 << 31) as f64
        };
        for _ in 0..500 {
            let count = 1 + (next() * 20.0) as usize;
            let wanted: Vec<Wish> = (0..count)
                .map(|_| Wish {
                    place: -50.0 + next() * 500.0,
                    size: 5.0 + next() * 10.0,
                })
                .collect();
            let centres = spread(&wanted, 0.0, 400.0);
            for (a, (&ca, wa)) in centres.iter().zip(&wanted).enumerate() {
                assert!(ca - wa.size / 2.0 >= -1e-9 && ca + wa.size / 2.0 <= 400.0 + 1e-9);
                for (&cb, wb) in centres.iter().zip(&wanted).skip(a + 1) {
                    assert!((ca - cb).abs() >= (wa.size + wb.size) / 2.0 - 1e-9);
                    if wa.place < wb.place {
                        assert!(ca < cb);
                    }
                }
            }
        }
    }

    #[test]
    fn practice_lines_through_a_box() {
        let room = Room {
            left: 0.0,
            top: 0.0,
            right: 10.0,
            bottom: 10.0,
        };
        assert!(room.is_crossed_by((-5.0, 5.0), (15.0, 5.0)));
        assert!(room.is_crossed_by((2.0, 2.0), (3.0, 3.0)));
        assert!(!room.is_crossed_by((-5.0, 5.0), (-1.0, 5.0)));
        assert!(!room.is_crossed_by((-5.0, 0.0), (5.0, 20.1)));
    }
}
