//! Contrast of words and marks on their grounds, computed from the style itself.
//!
//! Formula and limits: WCAG 2.2, relative luminance and contrast ratio (glossary), success criteria 1.4.3 (text,
//! 4.5 : 1) and 1.4.11 (marks and rims, 3 : 1).

use std::collections::BTreeMap;

const STYLE: &str = include_str!("../assets/style.css");
const TEXT: f64 = 4.5;
const MARK: f64 = 3.0;

type Colours = BTreeMap<String, [f64; 3]>;

/// The colours named in the first rule after `marker`.
fn colours(marker: &str) -> Colours {
    let after = STYLE.split_once(marker).expect(marker).1;
    let rule = after.split_once(":root").expect("a rule").1;
    let body = rule.split_once('{').expect("a body").1;
    let body = body.split_once('}').expect("an end").0;
    body.split(';')
        .filter_map(|line| {
            let line = line.rsplit("*/").next()?.trim();
            let (name, value) = line.strip_prefix("--")?.split_once(": #")?;
            let part = |at: usize| {
                let byte = u8::from_str_radix(&value[at..at + 2], 16).expect(value);
                f64::from(byte) / 255.0
            };
            Some((name.to_owned(), [part(0), part(2), part(4)]))
        })
        .collect()
}

fn luminance(colour: [f64; 3]) -> f64 {
    let [r, g, b] = colour.map(|c| {
        if c <= 0.040_45 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn published_contrast_of_known_pairs() {
    // WCAG 2.2: black on white is 21 : 1; #767676 on white is the well-known least grey that passes 4.5.
    let grey = f64::from(0x76_u8) / 255.0;
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
    assert!((contrast([grey; 3], [1.0; 3]) - 4.54).abs() < 0.01);
}

#[test]
fn published_words_and_marks_stand_out_in_both_themes() {
    let mut misses = Vec::new();
    for theme in ["/* light */", "/* dark, chosen */"] {
        let colours = colours(theme);
        let mut check = |text: &str, ground: &str, limit: f64| {
            let ratio = contrast(colours[text], colours[ground]);
            if !(ratio >= limit) {
                misses.push(format!("{theme} {text} on {ground}: {ratio:.2} < {limit}"));
            }
        };
        for ground in ["paper", "sheet", "shade"] {
            for text in [
                "ink",
                "grey",
                "link",
                "true",
                "panel",
                "glass",
                "attention",
                "caution",
            ] {
                check(text, ground, TEXT);
            }
            for mark in ["edge", "water", "focus"] {
                check(mark, ground, MARK);
            }
        }
        for text in ["ink", "grey", "link", "attention"] {
            check(text, "attention-ground", TEXT);
        }
        for text in ["ink", "grey", "link", "caution"] {
            check(text, "caution-ground", TEXT);
        }
        // Letters on what is filled, and over water in figures.
        for ground in ["ink", "grey", "attention", "true"] {
            check("on-ink", ground, TEXT);
        }
        check("ink", "water-fill", TEXT);
        check("water", "sheet", TEXT);
    }
    assert!(misses.is_empty(), "{misses:#?}");
}

#[test]
fn property_dark_is_the_same_chosen_or_by_the_device_and_names_what_light_names() {
    let light = colours("/* light */");
    let dark = colours("/* dark, chosen */");
    assert_eq!(dark, colours("/* dark, as the device says */"));
    assert!(light.len() >= 20, "{}", light.len());
    assert!(light.keys().eq(dark.keys()));
}

#[test]
fn property_every_colour_of_the_figures_follows_the_theme() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../figure/src/svg.rs");
    let source = std::fs::read_to_string(path).unwrap();
    let mut seen = 0;
    for line in source
        .lines()
        .filter(|line| line.starts_with("pub(crate) const "))
    {
        if let Some(colour) = line.split('"').nth(1).filter(|word| word.starts_with('#')) {
            for attribute in ["fill", "stroke"] {
                let rule = format!(".drawing [{attribute}=\"{colour}\"] {{ {attribute}: var(--");
                assert!(STYLE.contains(&rule), "{rule}");
            }
            seen += 1;
        }
    }
    assert!(seen >= 7, "{seen}");
}
