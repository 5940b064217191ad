//! What every request works on: the folder, what was computed from its files, and the printer of packs.

use std::convert::Infallible;
use std::fmt;
use std::sync::Arc;

use axum::body::Bytes;
use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_folder::{Folder, LoopName, Revision, Stored};
use halfglass_report::units::DisplayUnits;
use quick_cache::sync::Cache;

use crate::access::Access;
use crate::designed::Designed;
use crate::refusal::Refusal;

/// Designs kept at hand: as many loops as a boiler house has, and their last edits.
const DESIGNS_KEPT: usize = 64;

/// First pages kept at hand, some 70 kB each: a tablet beside every boiler asks for the same few.
const PAGES_KEPT: usize = 100;

/// What a pack is printed from.
#[derive(Debug, Clone, Copy)]
pub struct PackOf<'a> {
    /// The loop as described.
    pub described: &'a Loop,
    /// Its sheets.
    pub sheets: &'a Sheets,
    /// Units of print.
    pub units: &'a DisplayUnits,
    /// Name of the loop file.
    pub file_name: &'a str,
    /// SHA-256 of the loop file, hexadecimal.
    pub sha256: &'a str,
}

/// Prints packs: handed in by the binary, so that this crate builds without the typesetter. An error is one sentence for
/// the page.
pub type PackPrinter = Box<dyn Fn(&PackOf<'_>) -> Result<Vec<u8>, String> + Send + Sync>;

/// What every request works on.
pub struct Workbench {
    pub(crate) folder: Folder,
    pub(crate) access: Access,
    print_pack: PackPrinter,
    designs: Cache<Revision, Arc<Designed>>,
    pages: Cache<String, Bytes>,
}

impl fmt::Debug for Workbench {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Workbench")
            .field("folder", &self.folder)
            .finish_non_exhaustive()
    }
}

/// A file of the folder with what was computed from it.
#[derive(Debug, Clone)]
pub(crate) struct Opened {
    pub(crate) name: LoopName,
    pub(crate) stored: Arc<Stored>,
    pub(crate) designed: Arc<Designed>,
}

impl Opened {
    /// Loop and sheets, or why there are none and where to mend that.
    pub(crate) fn sheets(&self) -> Result<(&Loop, &Sheets), Refusal> {
        let sheets = self.designed.sheets();
        sheets.ok_or_else(|| Refusal::no_sheets(&self.name))
    }
}

impl Workbench {
    /// A workbench on a folder.
    pub fn new(folder: Folder, print_pack: PackPrinter) -> Self {
        Self {
            folder,
            access: Access::loopback(),
            print_pack,
            designs: Cache::new(DESIGNS_KEPT),
            pages: Cache::new(PAGES_KEPT),
        }
    }

    /// The same for those who may ask.
    pub(crate) fn with_access(self, access: Access) -> Self {
        Self { access, ..self }
    }

    /// Opens a loop by the name in its address.
    pub(crate) async fn open(self: &Arc<Self>, name: &str) -> Result<Opened, Refusal> {
        let name = LoopName::new(name)?;
        let bench = Arc::clone(self);
        run_aside(move || bench.opened(name)).await
    }

    /// The same at once: reads the disk and may compute, so call it aside.
    pub(crate) fn opened(&self, name: LoopName) -> Result<Opened, Refusal> {
        let stored = self.folder.read(&name)?;
        let designed = self.designed(&stored.bytes);
        Ok(Opened {
            name,
            stored: Arc::new(stored),
            designed,
        })
    }

    /// What a text makes, from memory where it was asked before. Takes tens of milliseconds: call it aside. Many who ask
    /// for the same at once wait for one computation.
    pub(crate) fn designed(&self, bytes: &[u8]) -> Arc<Designed> {
        let compute = || Ok::<_, Infallible>(Arc::new(Designed::of(bytes)));
        match self
            .designs
            .get_or_insert_with(&Revision::of(bytes), compute)
        {
            Ok(designed) => designed,
            Err(never) => match never {},
        }
    }

    /// A page, or a table for its script, that hangs on a text and on `rest` alone, from memory where it was drawn before;
    /// many who ask at once wait for one drawing.
    pub(crate) fn page(
        &self,
        stored: &Stored,
        rest: &str,
        draw: impl FnOnce() -> Result<Bytes, Refusal>,
    ) -> Result<Bytes, Refusal> {
        let key = format!("{} {rest}", stored.revision);
        self.pages.get_or_insert_with(&key, draw)
    }

    /// The pack as PDF.
    pub(crate) fn pack(&self, of: &PackOf<'_>) -> Result<Vec<u8>, Refusal> {
        (self.print_pack)(of).map_err(Refusal::pack)
    }
}

/// Runs what computes or waits for the disk away from the threads that answer.
pub(crate) async fn run_aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    match tokio::task::spawn_blocking(work).await {
        Ok(result) => result,
        Err(_) => Err(Refusal::defect("the computation stopped")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Barrier;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// A boiler house that comes back to its tablets at once draws a page once.
    #[test]
    fn property_many_who_ask_at_once_wait_for_one_drawing() {
        const ASKING: usize = 16;
        let place = tempfile::tempdir().unwrap();
        std::fs::write(place.path().join("a.toml"), "# a").unwrap();
        let folder = Folder::open(place.path()).unwrap();
        let stored = folder.read(&LoopName::new("a").unwrap()).unwrap();
        let bench = Workbench::new(folder, Box::new(|_| Err("no typesetter".into())));
        let (drawn, together) = (AtomicUsize::new(0), Barrier::new(ASKING));
        let draw = || {
            drawn.fetch_add(1, Ordering::SeqCst);
            std::thread::yield_now();
            Ok(Bytes::from_static(b"page"))
        };
        std::thread::scope(|scope| {
            for _ in 0..ASKING {
                scope.spawn(|| {
                    together.wait();
                    assert_eq!(bench.page(&stored, "a", draw).unwrap(), "page");
                });
            }
        });
        assert_eq!(drawn.load(Ordering::SeqCst), 1);
        // A refused drawing is not kept.
        let refuse = || Err(Refusal::defect("no"));
        assert!(bench.page(&stored, "b", refuse).is_err());
        assert!(bench.page(&stored, "b", draw).is_ok());
        assert_eq!(drawn.load(Ordering::SeqCst), 2);
    }
}
