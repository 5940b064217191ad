//! How wide a text is, so that labels can be kept apart before anything is drawn.
//!
//! **Source:** advance widths (`hmtx`) of Source Sans 3 Regular and SemiBold, thousandths of the size, kerning left out.

/// Weight of the lettering.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weight {
    Regular,
    SemiBold,
}

/// Height of a line of text over its size.
pub(crate) const LINE: f64 = 1.2;

/// Width of a text set at a size, in units of that size. Letters outside ASCII count as wide as a capital M.
pub(crate) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let table = match weight {
        Weight::Regular => &REGULAR,
        Weight::SemiBold => &SEMI_BOLD,
    };
    text.chars()
        .map(|c| {
            let index = match c {
                // The minus sign is as wide as a plus.
                '\u{2212}' => '+' as usize - 32,
                c => (c as usize).wrapping_sub(32),
            };
            table
                .get(index)
                .copied()
                .map_or(0.83, |w| f64::from(w) / 1000.0)
        })
        .sum::<f64>()
        * size
}

/// From the space to the tilde.
const REGULAR: [u16; 95] = [
    200, 289, 426, 497, 497, 824, 609, 249, 303, 303, 418, 497, 249, 311, 249, 350, 497, 497, 497,
    497, 497, 497, 497, 497, 497, 497, 249, 249, 497, 497, 497, 425, 847, 543, 588, 571, 615, 527,
    494, 617, 652, 263, 479, 579, 486, 727, 647, 664, 566, 664, 569, 534, 536, 645, 515, 786, 513,
    476, 539, 303, 350, 303, 497, 500, 542, 504, 553, 456, 555, 496, 292, 504, 544, 246, 247, 495,
    255, 829, 547, 542, 555, 555, 347, 419, 338, 544, 467, 719, 446, 467, 425, 303, 241, 303, 497,
];

/// From the space to the tilde.
const SEMI_BOLD: [u16; 95] = [
    200, 315, 482, 513, 513, 841, 639, 275, 324, 324, 438, 513, 275, 322, 275, 344, 513, 513, 513,
    513, 513, 513, 513, 513, 513, 513, 275, 275, 513, 513, 513, 444, 875, 558, 597, 576, 625, 538,
    510, 628, 663, 282, 494, 597, 502, 745, 657, 674, 582, 674, 592, 545, 546, 655, 536, 800, 541,
    501, 540, 324, 344, 324, 513, 500, 549, 516, 563, 462, 564, 507, 317, 520, 558, 262, 263, 522,
    271, 843, 560, 549, 564, 564, 373, 431, 361, 556, 495, 748, 481, 495, 443, 324, 255, 324, 513,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_widths_of_the_font() {
        // Source Sans 3, hmtx: W 786, i 246, 0 497 (Regular); W 800, i 262 (SemiBold).
        assert!((width("Wi0", 1000.0, Weight::Regular) - 1529.0).abs() < 1e-9);
        assert!((width("Wi", 1000.0, Weight::SemiBold) - 1062.0).abs() < 1e-9);
    }
}
