//! What client and simulated plant know of each other: the last sample one way, orders the other.

use std::sync::{Mutex, MutexGuard, PoisonError};

use halfglass_core::dynamics::sample::Sample;
use halfglass_core::dynamics::scenario::Happening;

use crate::registers::{ENDED, MARK, READINGS, SETTINGS, SIGNS, SWITCHES, from_words, to_words};

/// Why a request is refused, as Modbus has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Refused {
    /// No such address, or half a number.
    Address,
    /// A value that cannot be.
    Value,
}

/// Shared between the server's connections and the plant.
#[derive(Debug)]
pub struct Exchange {
    inner: Mutex<Inner>,
}

#[derive(Debug)]
struct Inner {
    sample: Sample,
    ended: bool,
    settings: [f64; SETTINGS.len()],
    switches: [bool; SWITCHES.len()],
    orders: Vec<Happening>,
}

impl Exchange {
    pub(crate) fn new(sample: Sample, load_percent: f64) -> Self {
        Self {
            inner: Mutex::new(Inner {
                settings: [
                    sample.output_percent,
                    sample.set_point.m(),
                    load_percent,
                    10.0,
                    0.0,
                ],
                switches: std::array::from_fn(|index| SWITCHES[index].at_start),
                sample,
                ended: false,
                orders: Vec::new(),
            }),
        }
    }

    /// The inner state; a thread that panicked leaves whole values behind.
    fn inner(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn take_orders(&self) -> Vec<Happening> {
        std::mem::take(&mut self.inner().orders)
    }

    pub(crate) fn publish(&self, sample: Sample) {
        let mut inner = self.inner();
        inner.sample = sample;
        // In automatic the output follows, so that going to hand is bumpless.
        if !inner.switches[0] {
            inner.settings[0] = sample.output_percent;
        }
    }

    pub(crate) fn end(&self) {
        self.inner().ended = true;
    }

    /// Has the vessel left the model.
    pub fn has_ended(&self) -> bool {
        self.inner().ended
    }

    pub(crate) fn input_registers(&self, from: u16, count: u16) -> Result<Vec<u16>, Refused> {
        let inner = self.inner();
        let mut map = vec![None; usize::from(READINGS[READINGS.len() - 1].address) + 2];
        for (place, pair) in map.iter_mut().zip(MARK.chunks(2)) {
            *place = Some(u16::from_be_bytes([pair[0], pair[1]]));
        }
        for reading in &READINGS {
            for (offset, word) in to_words((reading.of)(&inner.sample))
                .into_iter()
                .enumerate()
            {
                map[usize::from(reading.address) + offset] = Some(word);
            }
        }
        // The gap between mark and numbers reads as nothing.
        let map: Vec<u16> = map.into_iter().map(Option::unwrap_or_default).collect();
        part(&map, from, count)
    }

    pub(crate) fn discrete_inputs(&self, from: u16, count: u16) -> Result<Vec<bool>, Refused> {
        let inner = self.inner();
        let mut map: Vec<bool> = SIGNS.iter().map(|sign| (sign.of)(&inner.sample)).collect();
        debug_assert_eq!(map.len(), usize::from(ENDED.0));
        map.push(inner.ended);
        part(&map, from, count)
    }

    pub(crate) fn coils(&self, from: u16, count: u16) -> Result<Vec<bool>, Refused> {
        part(&self.inner().switches, from, count)
    }

    pub(crate) fn holding_registers(&self, from: u16, count: u16) -> Result<Vec<u16>, Refused> {
        let inner = self.inner();
        let map: Vec<u16> = inner
            .settings
            .iter()
            .flat_map(|&value| to_words(value))
            .collect();
        part(&map, from, count)
    }

    pub(crate) fn write_coils(&self, from: u16, values: &[bool]) -> Result<(), Refused> {
        let mut inner = self.inner();
        let first = usize::from(from);
        if values.is_empty() || first + values.len() > SWITCHES.len() {
            return Err(Refused::Address);
        }
        for (index, &set) in (first..).zip(values) {
            if inner.switches[index] == set {
                continue;
            }
            inner.switches[index] = set;
            let order = (SWITCHES[index].makes)(set).unwrap_or(Happening::Hand {
                output_percent: inner.settings[0],
            });
            inner.orders.push(order);
        }
        Ok(())
    }

    pub(crate) fn write_registers(&self, from: u16, words: &[u16]) -> Result<(), Refused> {
        let (first, count) = (usize::from(from), words.len());
        if count == 0 || first % 2 != 0 || count % 2 != 0 || (first + count) / 2 > SETTINGS.len() {
            return Err(Refused::Address);
        }
        let values: Vec<f64> = words
            .chunks(2)
            .map(|pair| from_words([pair[0], pair[1]]))
            .collect();
        let fits = |(setting, value): (usize, &f64)| {
            let (low, high) = SETTINGS[setting].ends;
            (low..=high).contains(value)
        };
        // All or nothing.
        if !(first / 2..).zip(&values).all(fits) {
            return Err(Refused::Value);
        }
        let mut inner = self.inner();
        for (index, &value) in (first / 2..).zip(&values) {
            inner.settings[index] = value;
        }
        for index in first / 2..(first + count) / 2 {
            let value = inner.settings[index];
            let order = match index {
                0 => {
                    inner.switches[0] = true;
                    Happening::Hand {
                        output_percent: value,
                    }
                }
                1 => Happening::SetPoint { level_m: value },
                2 => Happening::Load {
                    share_ratio: value / 100.0,
                    within_s: inner.settings[3],
                },
                4 => Happening::Blowdown { flow_kg_s: value },
                // The time of a change waits for the change.
                _ => continue,
            };
            inner.orders.push(order);
        }
        Ok(())
    }
}

fn part<T: Copy>(map: &[T], from: u16, count: u16) -> Result<Vec<T>, Refused> {
    let first = usize::from(from);
    map.get(first..first + usize::from(count))
        .filter(|part| !part.is_empty())
        .map(<[T]>::to_vec)
        .ok_or(Refused::Address)
}
