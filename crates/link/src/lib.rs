//! A simulated loop that answers as a Modbus TCP server: to practise on, and to test real controllers against.
//!
//! ```text
//! client ──Modbus──> server ──writes──> Exchange ──orders──> VirtualPlant::step ──sample──> Exchange ──reads──> client
//! ```
//!
//! Start at [`registers`]: the one table of what stands where. SIMULATION is the first thing that a client can read.

mod exchange;
mod practice;
pub mod registers;
mod server;
mod virtual_plant;

pub use exchange::Exchange;
pub use practice::{LinkError, practise};
pub use server::serve;
pub use virtual_plant::VirtualPlant;

#[cfg(test)]
mod tests;
