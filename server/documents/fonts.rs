//! The fonts of all documents, bundled so that a paper looks the same wherever it is made.

use std::collections::HashMap;
use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;

/// Text face, figures, then the faces that stand in for what those two lack: Latin, Greek,
/// Cyrillic, mathematical signs and symbols, Hebrew, Arabic, Han with kana and hangul, scripts of India,
/// Thai, Georgian, Armenian. Some are subsets; what they hold is what can be printed.
static FONT_FILES: [&[u8]; 25] = [
    include_bytes!("../../static/fonts/paper/AtkinsonHyperlegibleNext-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/AtkinsonHyperlegibleNext-Bold.ttf"),
    include_bytes!("../../static/fonts/paper/MartianMono-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/MartianMono-Bold.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSans-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSans-Bold.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansMath-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansSymbols2-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansHebrew-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansHebrew-Bold.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansArabic-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansArabic-Bold.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansCJKsc-Regular.otf"),
    include_bytes!("../../static/fonts/paper/NotoSansDevanagari-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansBengali-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansGurmukhi-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansGujarati-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansTamil-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansTelugu-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansKannada-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansMalayalam-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansSinhala-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansThai-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansGeorgian-Regular.ttf"),
    include_bytes!("../../static/fonts/paper/NotoSansArmenian-Regular.ttf"),
];

/// The parsed fonts and the engine's index of them.
pub(super) struct Fonts {
    pub(super) book: LazyHash<FontBook>,
    pub(super) all: Vec<Font>,
    /// One bit a font, for each character that any of them has.
    having: HashMap<u32, u32>,
}

pub(super) static FONTS: LazyLock<Fonts> = LazyLock::new(|| {
    let all: Vec<Font> = FONT_FILES.iter().flat_map(|file| Font::iter(Bytes::new(*file))).collect();
    let mut having = HashMap::new();
    for (place, font) in all.iter().enumerate() {
        for character in font.info().coverage.iter() {
            *having.entry(character).or_default() |= 1_u32 << place;
        }
    }
    Fonts { book: LazyHash::new(FontBook::from_fonts(&all)), all, having }
});

impl Fonts {
    /// Whether one single font can set all of these characters; a letter and its accents must come
    /// from the same font.
    pub(super) fn can_set_together(&self, cluster: &[char]) -> bool {
        let fonts = |character: &char| self.having.get(&u32::from(*character)).copied();
        cluster.iter().map(|character| fonts(character).unwrap_or(0)).fold(u32::MAX, |a, b| a & b)
            > 0
    }
}
