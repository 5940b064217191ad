//! The typesetter's world, all in memory: templates and fonts are compiled in, data and figures are virtual files.
//! No disk, no network, no packages, no clock, no system fonts: the same input gives the same bytes.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, PathError, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// Source Sans 3, SIL Open Font License 1.1 (see `fonts/OFL.txt`, which travels with the crate).
static FONT_FILES: [&[u8]; 3] = [
    include_bytes!("../fonts/SourceSans3_400Regular.ttf"),
    include_bytes!("../fonts/SourceSans3_400Regular_Italic.ttf"),
    include_bytes!("../fonts/SourceSans3_600SemiBold.ttf"),
];

static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    FONT_FILES
        .iter()
        .flat_map(|data| Font::iter(Bytes::new(*data)))
        .collect()
});

/// Templates by path; the first is the main file.
const TEMPLATES: [(&str, &str); 5] = [
    ("/pack.typ", include_str!("../template/pack.typ")),
    ("/look.typ", include_str!("../template/look.typ")),
    ("/blocks.typ", include_str!("../template/blocks.typ")),
    ("/forms.typ", include_str!("../template/forms.typ")),
    ("/cover.typ", include_str!("../template/cover.typ")),
];

/// Everything the typesetter may read.
pub(crate) struct PackWorld {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    main: FileId,
    sources: BTreeMap<String, Source>,
    files: BTreeMap<String, Bytes>,
}

impl PackWorld {
    /// A world of the templates and the given virtual files (path with leading slash, content).
    pub(crate) fn new(files: Vec<(String, Vec<u8>)>) -> Result<Self, PathError> {
        let main = file_id(TEMPLATES[0].0)?;
        let mut sources = BTreeMap::new();
        for (path, text) in TEMPLATES {
            sources.insert(
                path.to_owned(),
                Source::new(file_id(path)?, text.to_owned()),
            );
        }
        Ok(Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(FONTS.iter())),
            main,
            sources,
            files: files
                .into_iter()
                .map(|(path, content)| (path, Bytes::new(content)))
                .collect(),
        })
    }

    fn missing(id: FileId) -> FileError {
        FileError::NotFound(id.get().vpath().get_with_slash().into())
    }
}

fn file_id(path: &str) -> Result<FileId, PathError> {
    Ok(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path)?).intern())
}

impl World for PackWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let path = id.get();
        match path.root() {
            VirtualRoot::Project => self
                .sources
                .get(path.vpath().get_with_slash())
                .cloned()
                .ok_or_else(|| Self::missing(id)),
            VirtualRoot::Package(_) => Err(Self::missing(id)),
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get();
        match path.root() {
            VirtualRoot::Project => self
                .files
                .get(path.vpath().get_with_slash())
                .cloned()
                .ok_or_else(|| Self::missing(id)),
            VirtualRoot::Package(_) => Err(Self::missing(id)),
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
