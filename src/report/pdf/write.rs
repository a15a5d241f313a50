//! A document as bytes.

use super::document::{Bookmark, Document};
use super::font::{Font, Style, Weight};
use super::page::{At, Mark, Page, Paint, Pen, Runs};
use super::unit::Pt;
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{
    CidFontType, FontFlags, LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap,
};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use subsetter::{GlyphRemapper, subset};

/// How hard streams are packed, of 10.
const PACKING: u8 = 6;
/// A quarter of a circle as one curve: its handles are this part of the radius, the common
/// approximation 4/3 (√2 − 1).
const HANDLE: (i64, i64) = (5523, 10_000);
/// How far a slanted letter leans: the tangent of 12 degrees.
const LEAN: f32 = 0.2126;

/// Numbers of the objects, one after the other.
struct Numbers(i32);

impl Numbers {
    fn next(&mut self) -> Ref {
        self.0 += 1;
        Ref::new(self.0)
    }
}

pub fn bytes(document: &Document) -> Vec<u8> {
    let mut numbers = Numbers(0);
    let (catalog, tree, info) = (numbers.next(), numbers.next(), numbers.next());
    let mut pdf = Pdf::new();
    let fonts: Vec<Embedded> = [Weight::Book, Weight::Bold]
        .into_iter()
        .filter_map(|w| Embedded::of(document, w))
        .collect();
    let fonts: Vec<(Embedded, Ref)> =
        fonts.into_iter().map(|font| (font, numbers.next())).collect();
    for (font, id) in &fonts {
        font.write(&mut pdf, *id, &mut numbers);
    }
    let pages: Vec<(Ref, Ref)> =
        document.pages.iter().map(|_| (numbers.next(), numbers.next())).collect();
    for (page, (id, content)) in document.pages.iter().zip(&pages) {
        let mut of = pdf.page(*id);
        of.parent(tree).contents(*content);
        of.media_box(Rect::new(0.0, 0.0, page.paper.width.user(), page.paper.height.user()));
        of.finish();
        let drawn = compress_to_vec_zlib(&draw(page, &fonts), PACKING);
        pdf.stream(*content, &drawn).filter(Filter::FlateDecode);
    }
    let mut all = pdf.pages(tree);
    all.kids(pages.iter().map(|(page, _)| *page));
    all.count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    let mut resources = all.resources();
    let mut named = resources.fonts();
    for (font, id) in &fonts {
        named.pair(Name(font.called()), *id);
    }
    named.finish();
    resources.finish();
    all.finish();
    let outline = outline(document, &pages, &mut pdf, &mut numbers);
    pdf.document_info(info)
        .title(TextStr(&document.title))
        .producer(TextStr(concat!("coilwright ", env!("CARGO_PKG_VERSION"))));
    let mut root = pdf.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    root.viewer_preferences().display_doc_title(true);
    if let Some(outline) = outline {
        root.outlines(outline);
    }
    root.finish();
    pdf.finish()
}

/// What is used of one weight of the font.
struct Embedded {
    weight: Weight,
    font: &'static Font,
    /// Numbers in the embedded font.
    numbers: GlyphRemapper,
    /// By number in the embedded font: the character it stands for, and its width.
    glyphs: BTreeMap<u16, (char, i64)>,
}

impl Embedded {
    /// `None` where the document has nothing of this weight.
    fn of(document: &Document, weight: Weight) -> Option<Embedded> {
        let font = Font::of(weight);
        let texts =
            document.pages.iter().flat_map(|page| &page.marks).filter_map(|mark| match mark {
                Mark::Text { style, text, .. } if style.weight == weight => Some(text),
                _ => None,
            });
        let used: BTreeMap<char, _> =
            texts.flat_map(|text| text.chars()).filter_map(|c| Some((c, font.glyph(c)?))).collect();
        let (mut numbers, mut glyphs) = (GlyphRemapper::new(), BTreeMap::new());
        for (c, glyph) in &used {
            // A no-break space may share its letter with the space: the first stands for both.
            glyphs.entry(numbers.remap(glyph.id)).or_insert((*c, glyph.width));
        }
        (!used.is_empty()).then_some(Embedded { weight, font, numbers, glyphs })
    }

    /// Its name on pages.
    fn called(&self) -> &'static [u8] {
        match self.weight {
            Weight::Book => b"B",
            Weight::Bold => b"D",
        }
    }

    /// A text as its letters' numbers.
    fn encoded(&self, text: &str) -> Vec<u8> {
        text.chars()
            .filter_map(|c| self.numbers.get(self.font.glyph(c)?.id))
            .flat_map(u16::to_be_bytes)
            .collect()
    }

    fn write(&self, pdf: &mut Pdf, id: Ref, numbers: &mut Numbers) {
        let [cid, descriptor, to_unicode, file] = std::array::from_fn(|_| numbers.next());
        // The font is one we ship, and its letters are in it.
        let data = subset(self.font.bytes, 0, &self.numbers).unwrap_or_default();
        // Six letters that tell this part of the font from others: of its own hash.
        let tag: String =
            Sha256::digest(&data).iter().take(6).map(|byte| char::from(b'A' + byte % 26)).collect();
        let name = format!("{tag}+{}", self.font.name);
        let name = Name(name.as_bytes());
        let system =
            SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        pdf.type0_font(id)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(to_unicode);
        let mut of = pdf.cid_font(cid);
        of.subtype(CidFontType::Type2)
            .base_font(name)
            .system_info(system)
            .font_descriptor(descriptor)
            .cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = of.widths();
        for (number, (_, width)) in &self.glyphs {
            widths.same(*number, *number, whole(*width));
        }
        widths.finish();
        of.finish();
        let ([ascent, descent, capital], [left, low, right, high]) = self.font.measures();
        pdf.font_descriptor(descriptor)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(whole(left), whole(low), whole(right), whole(high)))
            .italic_angle(0.0)
            .ascent(whole(ascent))
            .descent(whole(descent))
            .cap_height(whole(capital))
            .stem_v(if self.weight == Weight::Bold { 150.0 } else { 80.0 })
            .font_file2(file);
        let mut characters = UnicodeCmap::new(Name(b"Custom"), system);
        for (number, (c, _)) in &self.glyphs {
            characters.pair(*number, *c);
        }
        let characters = compress_to_vec_zlib(characters.finish().as_slice(), PACKING);
        pdf.stream(to_unicode, &characters).filter(Filter::FlateDecode);
        let packed = compress_to_vec_zlib(&data, PACKING);
        let length = i32::try_from(data.len()).unwrap_or(i32::MAX);
        pdf.stream(file, &packed).filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
    }
}

/// A whole number as PDF has it.
fn whole(n: i64) -> f32 {
    f32::from(i16::try_from(n).unwrap_or(i16::MAX))
}

fn draw(page: &Page, fonts: &[(Embedded, Ref)]) -> Vec<u8> {
    let mut content = Content::new();
    // PDF counts upward from the lower edge.
    let place = |at: At| (at.x.user(), (page.paper.height - at.y).user());
    for mark in &page.marks {
        match mark {
            Mark::Text { at, style, shade, runs, text } => {
                let font = fonts.iter().find(|(font, _)| font.weight == style.weight);
                let Some((font, _)) = font else { continue };
                content.set_fill_gray(shade.user());
                content.begin_text();
                content.set_font(Name(font.called()), style.size.user());
                content.set_text_matrix(matrix(place(*at), style, *runs));
                content.show(Str(&font.encoded(text)));
                content.end_text();
            }
            Mark::Path { points, closed, paint } => {
                begin(&mut content, *paint);
                for (i, at) in points.iter().enumerate() {
                    let (x, y) = place(*at);
                    let _ = if i == 0 { content.move_to(x, y) } else { content.line_to(x, y) };
                }
                if *closed {
                    content.close_path();
                }
                end(&mut content, *paint);
            }
            Mark::Circle { centre, radius, paint } => {
                begin(&mut content, *paint);
                circle(&mut content, *centre, *radius, place);
                end(&mut content, *paint);
            }
        }
    }
    content.finish().as_slice().to_vec()
}

fn matrix((x, y): (f32, f32), style: &Style, runs: Runs) -> [f32; 6] {
    let lean = if style.slanted { LEAN } else { 0.0 };
    match runs {
        Runs::Across => [1.0, 0.0, lean, 1.0, x, y],
        Runs::Up => [0.0, 1.0, -1.0, lean, x, y],
    }
}

fn begin(content: &mut Content, paint: Paint) {
    match paint {
        Paint::Fill(shade) => {
            content.set_fill_gray(shade.user());
        }
        Paint::Line(Pen { width, shade, dash }) => {
            content.set_stroke_gray(shade.user()).set_line_width(width.user());
            content.set_line_cap(LineCapStyle::ButtCap).set_line_join(LineJoinStyle::MiterJoin);
            content.set_dash_pattern(dash.map(Pt::user), 0.0);
        }
    }
}

fn end(content: &mut Content, paint: Paint) {
    match paint {
        Paint::Fill(_) => content.fill_nonzero(),
        Paint::Line(_) => content.stroke(),
    };
}

fn circle(content: &mut Content, centre: At, radius: Pt, place: impl Fn(At) -> (f32, f32)) {
    let handle = radius.part(HANDLE.0, HANDLE.1);
    let at = |x: Pt, y: Pt| place(At { x: centre.x + x, y: centre.y + y });
    let (r, h, none) = (radius, handle, Pt::ZERO);
    let (x, y) = at(r, none);
    content.move_to(x, y);
    for [one, two, end] in [
        [(r, h), (h, r), (none, r)],
        [(-h, r), (-r, h), (-r, none)],
        [(-r, -h), (-h, -r), (none, -r)],
        [(h, -r), (r, -h), (r, none)],
    ] {
        let [(x1, y1), (x2, y2), (x, y)] = [one, two, end].map(|(x, y)| at(x, y));
        content.cubic_to(x1, y1, x2, y2, x, y);
    }
    content.close_path();
}

/// The bookmarks as a tree; `None` where there are none.
fn outline(
    document: &Document,
    pages: &[(Ref, Ref)],
    pdf: &mut Pdf,
    numbers: &mut Numbers,
) -> Option<Ref> {
    let marks: Vec<(&Bookmark, Ref)> = document
        .bookmarks
        .iter()
        .filter_map(|mark| Some((mark, pages.get(mark.page)?.0)))
        .collect();
    if marks.is_empty() {
        return None;
    }
    let root = numbers.next();
    let ids: Vec<Ref> = marks.iter().map(|_| numbers.next()).collect();
    // Which each of them lies below, and what lies below each: the root is the last.
    let mut above = Vec::with_capacity(marks.len());
    let mut below: Vec<Vec<usize>> = vec![Vec::new(); marks.len() + 1];
    let mut open: Vec<usize> = Vec::new();
    for (i, (mark, _)) in marks.iter().enumerate() {
        open.truncate(mark.depth);
        let parent = open.last().copied();
        above.push(parent);
        if let Some(children) = below.get_mut(parent.unwrap_or(marks.len())) {
            children.push(i);
        }
        open.push(i);
    }
    let id = |i: &usize| ids.get(*i).copied();
    let children = |i: usize| below.get(i).map_or(&[][..], Vec::as_slice);
    let count = |n: usize| i32::try_from(n).unwrap_or(i32::MAX);
    for (i, (mark, page)) in marks.iter().enumerate() {
        let Some(own) = id(&i) else { continue };
        let parent = above.get(i).copied().flatten();
        let beside = children(parent.unwrap_or(marks.len()));
        let place = beside.iter().position(|&other| other == i).unwrap_or(0);
        let mut item = pdf.outline_item(own);
        item.title(TextStr(&mark.title)).parent(parent.as_ref().and_then(id).unwrap_or(root));
        if let Some(before) = place.checked_sub(1).and_then(|at| beside.get(at)).and_then(id) {
            item.prev(before);
        }
        if let Some(after) = beside.get(place + 1).and_then(id) {
            item.next(after);
        }
        if let (Some(first), Some(last)) =
            (children(i).first().and_then(id), children(i).last().and_then(id))
        {
            // Below nought: closed until it is asked for.
            item.first(first).last(last).count(-count(children(i).len()));
        }
        let height = document.pages.get(mark.page).map_or(Pt::ZERO, |page| page.paper.height);
        item.dest().page(*page).xyz(0.0, (height - mark.y).user(), None);
    }
    let top = children(marks.len());
    let mut of = pdf.outline(root);
    if let (Some(first), Some(last)) = (top.first().and_then(id), top.last().and_then(id)) {
        of.first(first).last(last).count(count(top.len()));
    }
    Some(root)
}

#[cfg(test)]
mod tests {
    use super::super::page::{Area, Paper, Shade};
    use super::*;

    fn sample() -> Document {
        let mut document = Document::new("Kestrel Point Ø12");
        for number in 0..3 {
            let page = document.add(Paper::A4).unwrap();
            let at = |x, y| At { x: Pt::new(x), y: Pt::new(y) };
            page.text(at(40, 50), Style::book(Pt::new(10)), &format!("page {number}: Łódź 東"));
            page.text(at(40, 70), Style::bold(Pt::new(12)), "bold");
            let slanted = Style { slanted: true, ..Style::book(Pt::new(10)) };
            page.say(at(40, 90), slanted, Shade::Soft, Runs::Up, "up");
            page.line(at(40, 100), at(90, 100), Pen::ink(Pt::mil(500)));
            let area =
                Area { x: Pt::new(40), y: Pt::new(110), width: Pt::new(9), height: Pt::new(9) };
            page.area(area, Paint::Fill(Shade::Wash));
            page.circle(at(60, 120), Pt::new(5), Paint::Line(Pen::faint(Pt::new(1))));
        }
        for (depth, page) in [(0, 0), (1, 1), (4, 1), (0, 2)] {
            let title = format!("mark on {page}");
            document.bookmarks.push(Bookmark { depth, title, page, y: Pt::new(40) });
        }
        document
    }

    #[test]
    fn the_same_document_has_the_same_bytes_and_no_date() {
        let bytes = sample().bytes();
        assert_eq!(sample().bytes(), bytes);
        assert!(bytes.starts_with(b"%PDF-1.7") && bytes.ends_with(b"%%EOF"));
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains("CreationDate") && !text.contains("ModDate"));
        assert_eq!(text.matches("/Type /Page\n").count(), 3);
        assert!(text.contains("+DejaVuSansCondensed-Bold"));
        // The font is a few letters of it, not the 680 kB there are.
        assert!(bytes.len() < 40_000, "{}", bytes.len());
    }

    #[test]
    fn a_document_without_pages_or_text_is_one() {
        assert!(Document::new("").bytes().starts_with(b"%PDF"));
        let mut blank = Document::new("blank");
        blank.add(Paper::LETTER.turned());
        assert!(!String::from_utf8_lossy(&blank.bytes()).contains("FontFile2"));
    }

    #[test]
    fn what_the_font_lacks_is_told() {
        let lacking = sample().lacking();
        assert_eq!(lacking.keys().collect::<String>(), "東");
        assert_eq!(lacking[&'東'], "page 0: Łódź 東");
    }

    #[test]
    fn bookmarks_hang_together() {
        let text = String::from_utf8_lossy(&sample().bytes()).to_string();
        let items = text.matches("/Parent").count() - sample().pages.len();
        assert_eq!(items, 4);
        assert_eq!(text.matches("/Prev").count(), 1);
        assert_eq!(text.matches("/Count -1").count(), 2, "two of them have one below");
    }
}
