//! Sessions of those who knew the pass-code, and what slows down those who guess.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use sha2::{Digest, Sha256};

use super::pass_code::{Lock, PassCode};

/// A session ends after a shift, s.
pub(super) const LONGEST_S: u64 = 12 * 3_600;
/// And when nothing was asked for so long, s.
const IDLE_S: u64 = 2 * 3_600;
/// Most sessions at a time; the one longest unused makes room.
const MOST: usize = 500;
/// Wrong codes from one address before it has to wait.
const FREE_FAILURES: u32 = 5;
/// First wait, s; it doubles with every further failure.
const FIRST_WAIT_S: u64 = 30;
/// Longest wait, s.
const LONGEST_WAIT_S: u64 = 15 * 60;
/// Wrong codes from all addresses together in a minute before all have to wait: a code of ten letters holds then.
const FAILURES_A_MINUTE: u32 = 30;
/// Most addresses remembered for their failures.
const MOST_ADDRESSES: usize = 4_096;

/// Sessions and failures.
#[derive(Debug)]
pub(crate) struct Sessions {
    lock: Lock,
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// By the hash of the token: whoever reads memory or a log finds no token.
    open: HashMap<[u8; 32], Session>,
    failures: HashMap<IpAddr, Failures>,
    minute: Option<(Instant, u32)>,
}

#[derive(Debug, Clone, Copy)]
struct Session {
    began: Instant,
    used: Instant,
}

#[derive(Debug, Clone, Copy)]
struct Failures {
    count: u32,
    last: Instant,
}

/// How an attempt to enter ended.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Entry {
    /// The token of a new session.
    Open(String),
    /// Not the code.
    Wrong,
    /// Too many wrong codes: try again after so many seconds.
    Wait(u64),
    /// The system gave no random numbers.
    NoRandomNumbers,
}

impl Sessions {
    pub(super) fn new(code: &PassCode) -> Self {
        Self {
            lock: code.lock(),
            state: Mutex::new(State::default()),
        }
    }

    fn state(&self) -> std::sync::MutexGuard<'_, State> {
        self.state
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Tries a code.
    pub(super) fn enter(&self, from: IpAddr, typed: &str, now: Instant) -> Entry {
        let mut state = self.state();
        if let Some(wait_s) = state.wait_s(from, now) {
            return Entry::Wait(wait_s);
        }
        if !self.lock.opens_with(typed) {
            state.note_failure(from, now);
            return match state.wait_s(from, now) {
                Some(wait_s) => Entry::Wait(wait_s),
                None => Entry::Wrong,
            };
        }
        state.failures.remove(&from);
        let mut token = [0_u8; 32];
        if getrandom::fill(&mut token).is_err() {
            return Entry::NoRandomNumbers;
        }
        let token: String = token.iter().map(|byte| format!("{byte:02x}")).collect();
        state.open.retain(|_, session| session.holds(now));
        if state.open.len() >= MOST
            && let Some(oldest) = state
                .open
                .iter()
                .min_by_key(|(_, session)| session.used)
                .map(|(key, _)| *key)
        {
            state.open.remove(&oldest);
        }
        state.open.insert(
            key(&token),
            Session {
                began: now,
                used: now,
            },
        );
        Entry::Open(token)
    }

    /// Is this the token of an open session; if so it counts as used.
    pub(super) fn is_open(&self, token: &str, now: Instant) -> bool {
        let mut state = self.state();
        let key = key(token);
        match state.open.get_mut(&key) {
            Some(session) if session.holds(now) => {
                session.used = now;
                true
            }
            Some(_) => {
                state.open.remove(&key);
                false
            }
            None => false,
        }
    }

    /// Ends a session.
    pub(super) fn leave(&self, token: &str) {
        self.state().open.remove(&key(token));
    }
}

fn key(token: &str) -> [u8; 32] {
    Sha256::digest(token.as_bytes()).into()
}

impl Session {
    fn holds(&self, now: Instant) -> bool {
        now.duration_since(self.began) < Duration::from_secs(LONGEST_S)
            && now.duration_since(self.used) < Duration::from_secs(IDLE_S)
    }
}

impl State {
    /// How long this address has to wait, if it has to, s.
    fn wait_s(&self, from: IpAddr, now: Instant) -> Option<u64> {
        let of_all = self
            .minute
            .filter(|(_, count)| *count >= FAILURES_A_MINUTE)
            .and_then(|(began, _)| Duration::from_secs(60).checked_sub(now.duration_since(began)));
        let of_one = self
            .failures
            .get(&from)
            .filter(|failures| failures.count >= FREE_FAILURES)
            .and_then(|failures| {
                let doublings = (failures.count - FREE_FAILURES).min(16);
                let wait_s = (FIRST_WAIT_S << doublings).min(LONGEST_WAIT_S);
                Duration::from_secs(wait_s).checked_sub(now.duration_since(failures.last))
            });
        of_all.max(of_one).map(|left| left.as_secs() + 1)
    }

    fn note_failure(&mut self, from: IpAddr, now: Instant) {
        let forgotten = Duration::from_secs(4 * LONGEST_WAIT_S);
        if self.failures.len() >= MOST_ADDRESSES {
            self.failures
                .retain(|_, failures| now.duration_since(failures.last) < forgotten);
        }
        // A flood from more addresses than are remembered is met by the limit on all of them.
        if self.failures.len() < MOST_ADDRESSES || self.failures.contains_key(&from) {
            let failures = self.failures.entry(from).or_insert(Failures {
                count: 0,
                last: now,
            });
            if now.duration_since(failures.last) >= forgotten {
                failures.count = 0;
            }
            failures.count = failures.count.saturating_add(1);
            failures.last = now;
        }
        self.minute = match self.minute {
            Some((began, count)) if now.duration_since(began) < Duration::from_secs(60) => {
                Some((began, count + 1))
            }
            _ => Some((now, 1)),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 7));
    const THERE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 8));

    fn sessions() -> Sessions {
        Sessions::new(&PassCode::chosen("laundry-42").unwrap())
    }

    fn later(now: Instant, s: u64) -> Instant {
        now + Duration::from_secs(s)
    }

    #[test]
    fn property_a_session_opens_with_the_code_and_ends() {
        let (sessions, now) = (sessions(), Instant::now());
        assert_eq!(sessions.enter(HERE, "laundry-43", now), Entry::Wrong);
        let Entry::Open(token) = sessions.enter(HERE, " laundry-42 ", now) else {
            panic!("the right code was refused");
        };
        assert_eq!(token.len(), 64);
        assert!(sessions.is_open(&token, later(now, IDLE_S - 1)));
        assert!(!sessions.is_open("", now) && !sessions.is_open(&token[1..], now));
        // Idle for too long.
        assert!(!sessions.is_open(&token, later(now, 2 * IDLE_S)));
        let Entry::Open(token) = sessions.enter(HERE, "laundry-42", now) else {
            panic!("the right code was refused");
        };
        // Used all the time, over at the end of the shift.
        for s in (0..LONGEST_S).step_by(3_600) {
            assert!(sessions.is_open(&token, later(now, s)), "{s}");
        }
        assert!(!sessions.is_open(&token, later(now, LONGEST_S)));
        let Entry::Open(token) = sessions.enter(HERE, "laundry-42", now) else {
            panic!("the right code was refused");
        };
        sessions.leave(&token);
        assert!(!sessions.is_open(&token, now));
    }

    #[test]
    fn property_guessing_is_slowed_down_and_the_right_code_with_it() {
        let (sessions, now) = (sessions(), Instant::now());
        for _ in 0..4 {
            assert_eq!(sessions.enter(HERE, "guess", now), Entry::Wrong);
        }
        assert!(matches!(
            sessions.enter(HERE, "guess", now),
            Entry::Wait(30..=31)
        ));
        // The right code has to wait as well, or waiting would tell which is right.
        assert!(matches!(
            sessions.enter(HERE, "laundry-42", later(now, 29)),
            Entry::Wait(_)
        ));
        assert!(matches!(
            sessions.enter(THERE, "laundry-42", now),
            Entry::Open(_)
        ));
        assert!(matches!(
            sessions.enter(HERE, "guess", later(now, 31)),
            Entry::Wait(60..=61)
        ));
        assert!(matches!(
            sessions.enter(HERE, "laundry-42", later(now, 93)),
            Entry::Open(_)
        ));
        // All is forgiven after the right code.
        assert_eq!(sessions.enter(HERE, "guess", later(now, 94)), Entry::Wrong);
    }

    #[test]
    fn property_guessing_from_many_addresses_is_slowed_down_too() {
        let (sessions, now) = (sessions(), Instant::now());
        for host in 0..30 {
            let from = IpAddr::V4(std::net::Ipv4Addr::new(198, 51, 100, host));
            sessions.enter(from, "guess", now);
        }
        assert!(matches!(
            sessions.enter(THERE, "laundry-42", now),
            Entry::Wait(_)
        ));
        assert!(matches!(
            sessions.enter(THERE, "laundry-42", later(now, 61)),
            Entry::Open(_)
        ));
    }

    #[test]
    fn property_sessions_do_not_pile_up() {
        let (sessions, now) = (sessions(), Instant::now());
        for s in 0..600 {
            sessions.enter(HERE, "laundry-42", later(now, s));
        }
        assert_eq!(sessions.state().open.len(), MOST);
    }
}
