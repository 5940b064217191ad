//! What a person chose once: units, paper, light or dark, size of text. Kept in one cookie.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::header::COOKIE;
use axum::http::request::Parts;
use halfglass_core::description::{Loop, Paper, UnitSystem};
use halfglass_report::units::DisplayUnits;

/// Name of the cookie.
pub(crate) const COOKIE_NAME: &str = "halfglass-view";

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Theme {
    /// As the device says.
    #[default]
    Device,
    Light,
    Dark,
}

impl Theme {
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Theme::Device => "device",
            Theme::Light => "light",
            Theme::Dark => "dark",
        }
    }
}

/// What a person chose; `None` is what the loop file says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Preferences {
    pub(crate) units: Option<UnitSystem>,
    pub(crate) paper: Option<Paper>,
    pub(crate) theme: Theme,
    /// Steps of text size: -1 to 3.
    pub(crate) text: i8,
    /// Whether the person signed in and so can sign out; no choice, and not in the cookie.
    pub(crate) is_signed_in: bool,
}

/// Put on the request of one who has a session.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SignedIn;

impl Preferences {
    /// From the cookie's value or a form: `units=us&paper=a4&theme=dark&text=1`. What it does not know it leaves out.
    pub(crate) fn parse(value: &str) -> Self {
        let mut chosen = Self::default();
        for pair in value.split('&') {
            match pair.split_once('=') {
                Some(("units", "us")) => chosen.units = Some(UnitSystem::Us),
                Some(("units", "si")) => chosen.units = Some(UnitSystem::Si),
                Some(("paper", "letter")) => chosen.paper = Some(Paper::Letter),
                Some(("paper", "a4")) => chosen.paper = Some(Paper::A4),
                Some(("theme", "light")) => chosen.theme = Theme::Light,
                Some(("theme", "dark")) => chosen.theme = Theme::Dark,
                Some(("text", steps)) => {
                    chosen.text = steps.parse().unwrap_or(0_i8).clamp(-1, 3);
                }
                _ => {}
            }
        }
        chosen
    }

    /// The cookie's value; [`Preferences::parse`] reads it back.
    pub(crate) fn value(self) -> String {
        format!(
            "units={}&paper={}&theme={}&text={}",
            self.units_word(),
            self.paper_word(),
            self.theme.word(),
            self.text
        )
    }

    pub(crate) const fn units_word(self) -> &'static str {
        match self.units {
            None => "file",
            Some(UnitSystem::Us) => "us",
            Some(UnitSystem::Si) => "si",
        }
    }

    pub(crate) const fn paper_word(self) -> &'static str {
        match self.paper {
            None => "file",
            Some(Paper::Letter) => "letter",
            Some(Paper::A4) => "a4",
        }
    }

    /// The units that a loop is shown in.
    pub(crate) fn units_of(self, described: &Loop) -> DisplayUnits {
        let units = DisplayUnits::of(described);
        self.units.map_or(units, |system| units.with_system(system))
    }
}

impl<S: Sync> FromRequestParts<S> for Preferences {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        let cookies = parts.headers.get_all(COOKIE).iter();
        let chosen = cookies
            .filter_map(|header| header.to_str().ok())
            .flat_map(|header| header.split(';'))
            .find_map(|cookie| cookie.trim().strip_prefix(COOKIE_NAME)?.strip_prefix('='))
            .map(Self::parse)
            .unwrap_or_default();
        Ok(Self {
            is_signed_in: parts.extensions.get::<SignedIn>().is_some(),
            ..chosen
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_a_choice_is_read_back() {
        for units in [None, Some(UnitSystem::Us), Some(UnitSystem::Si)] {
            for theme in [Theme::Device, Theme::Light, Theme::Dark] {
                for text in -1..=3 {
                    let chosen = Preferences {
                        units,
                        theme,
                        text,
                        paper: Some(Paper::A4),
                        is_signed_in: false,
                    };
                    assert_eq!(Preferences::parse(&chosen.value()), chosen);
                }
            }
        }
        assert_eq!(
            Preferences::parse("units=;text=99999&&x"),
            Preferences::default()
        );
    }
}
