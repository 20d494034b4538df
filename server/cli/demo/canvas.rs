//! Flat shapes on a picture: spans, boxes, discs, outlines, lettering and figures of a display.

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageError};

use super::glyphs;

pub(super) const WIDTH: i32 = 1200;
pub(super) const HEIGHT: i32 = 900;
const QUALITY: u8 = 84;
const BYTES_PER_PIXEL: usize = 3;

pub(super) type Colour = [u8; 3];
pub(super) type Point = (i32, i32);

/// A picture while it is drawn. What lies outside is not drawn.
pub(super) struct Canvas {
    pixels: Vec<u8>,
}

impl Canvas {
    pub(super) fn new(ground: Colour) -> Self {
        Self { pixels: ground.repeat(index(WIDTH) * index(HEIGHT)) }
    }

    /// One row from `left` up to, not including, `right`.
    fn span(&mut self, y: i32, left: i32, right: i32, colour: Colour) {
        let (left, right) = (left.clamp(0, WIDTH), right.clamp(0, WIDTH));
        if !(0..HEIGHT).contains(&y) || left >= right {
            return;
        }
        let row = index(y) * index(WIDTH);
        let bytes = (row + index(left)) * BYTES_PER_PIXEL..(row + index(right)) * BYTES_PER_PIXEL;
        if let Some(span) = self.pixels.get_mut(bytes) {
            span.copy_from_slice(&colour.repeat(index(right - left)));
        }
    }

    pub(super) fn rect(&mut self, (x, y): Point, (width, height): Point, colour: Colour) {
        for row in y..y + height {
            self.span(row, x, x + width, colour);
        }
    }

    pub(super) fn disc(&mut self, (x, y): Point, radius: i32, colour: Colour) {
        for row in -radius..=radius {
            let half = (radius * radius - row * row).isqrt();
            self.span(y + row, x - half, x + half + 1, colour);
        }
    }

    /// A filled outline; where it crosses itself, every second part.
    pub(super) fn outline(&mut self, corners: &[Point], colour: Colour) {
        let rows = corners.iter().map(|corner| corner.1);
        let (Some(top), Some(foot)) = (rows.clone().min(), rows.max()) else { return };
        for y in top..foot {
            let mut crossings: Vec<i32> =
                sides(corners).filter_map(|(a, b)| crossing(a, b, y)).collect();
            crossings.sort_unstable();
            for pair in crossings.chunks_exact(2) {
                if let [left, right] = pair {
                    self.span(y, *left, *right, colour);
                }
            }
        }
    }

    /// A round-ended line through all points.
    pub(super) fn line(&mut self, points: &[Point], thickness: i32, colour: Colour) {
        let radius = (thickness / 2).max(1);
        for pair in points.windows(2) {
            let [from, to] = pair else { continue };
            let (dx, dy) = (to.0 - from.0, to.1 - from.1);
            let steps = (dx.abs().max(dy.abs()) / (radius / 2).max(1)).max(1);
            for step in 0..=steps {
                let at = (from.0 + dx * step / steps, from.1 + dy * step / steps);
                self.disc(at, radius, colour);
            }
        }
    }

    /// Capitals and figures, `size` pixels for each dot of a letter.
    pub(super) fn text(&mut self, (x, y): Point, size: i32, text: &str, colour: Colour) {
        let mut left = x;
        for letter in text.chars() {
            for (row, dots) in (0..).zip(glyphs::rows(letter)) {
                for column in
                    (0..glyphs::COLUMNS).filter(|c| dots >> (glyphs::COLUMNS - 1 - c) & 1 == 1)
                {
                    self.rect((left + column * size, y + row * size), (size, size), colour);
                }
            }
            left += (glyphs::COLUMNS + 1) * size;
        }
    }

    /// Figures of seven bars, `size` high, as a meter shows them.
    pub(super) fn display(&mut self, (x, y): Point, size: i32, figures: &str, colour: Colour) {
        let (width, bar) = (size / 2, size / 9);
        let mut left = x;
        for figure in figures.chars() {
            if figure == '.' {
                self.rect((left - bar * 2, y + size - bar), (bar, bar), colour);
                continue;
            }
            let lit = glyphs::bars(figure);
            for (at, (corner, extent)) in seven_bars(width, size, bar).iter().enumerate() {
                if lit >> at & 1 == 1 {
                    self.rect((left + corner.0, y + corner.1), *extent, colour);
                }
            }
            left += width + bar * 3;
        }
    }

    /// The picture as a camera would hand it over.
    pub(super) fn jpeg(&self) -> Result<Vec<u8>, ImageError> {
        let mut bytes = Vec::new();
        let (width, height) = (WIDTH.unsigned_abs(), HEIGHT.unsigned_abs());
        JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode(
            &self.pixels,
            width,
            height,
            ExtendedColorType::Rgb8,
        )?;
        Ok(bytes)
    }
}

/// Top, the two on the right, foot, the two on the left, middle.
fn seven_bars(width: i32, height: i32, bar: i32) -> [(Point, Point); 7] {
    let half = height / 2;
    let (across, along) = ((width, bar), (bar, half));
    [
        ((0, 0), across),
        ((width - bar, 0), along),
        ((width - bar, half), along),
        ((0, height - bar), across),
        ((0, half), along),
        ((0, 0), along),
        ((0, half - bar / 2), across),
    ]
}

fn sides(corners: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    corners.iter().copied().zip(corners.iter().copied().cycle().skip(1))
}

/// Where a side crosses a row.
fn crossing(a: Point, b: Point, y: i32) -> Option<i32> {
    let (upper, lower) = if a.1 < b.1 { (a, b) } else { (b, a) };
    let crosses = upper.1 <= y && y < lower.1;
    crosses.then(|| upper.0 + (lower.0 - upper.0) * (y - upper.1) / (lower.1 - upper.1))
}

fn index(pixel: i32) -> usize {
    usize::try_from(pixel).unwrap_or(0)
}
