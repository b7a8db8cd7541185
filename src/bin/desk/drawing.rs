//! The traced outline to scale on paper, as SVG, with its border strip, what was measured, and a
//! scale bar.

use crate::sheet::escaped;
use peelcast::job::{Flat, Measured};
use peelcast::quantity::Millimetres;
use peelcast::quantity::show::{self, System};
use peelcast::survey::Mm;

/// The place on paper, in millimetres.
const PLACE: [f64; 2] = [64.0, 50.0];
/// Room under the drawing for the scale bar, and around it for lines, in millimetres of paper.
const FOOT: f64 = 9.0;
const MARGIN: f64 = 2.0;
/// Height of letters on paper in millimetres.
const LETTERS: f64 = 3.4;
/// The scales that rules and minds know: one to so many.
const SCALES: [f64; 11] = [
    1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0,
];
const MM_PER_INCH: f64 = 25.4;

/// Draws it, true to scale when it is printed at full size, over the photo laid flat where that has
/// an address.
pub fn outline(
    flat: &Flat,
    laid: Option<&str>,
    measured: &[Measured],
    border: Millimetres,
    system: System,
) -> String {
    let mm = |at: [f64; 2]| at.map(|x| x * flat.frame.mm_per_px);
    let ring = |ring: &Vec<[f64; 2]>| path(ring.iter().map(|at| mm(*at)));
    let corners = flat.rings.iter().flatten().map(|at| mm(*at));
    let b = border.0;
    let (low, high) = corners.fold(([f64::MAX; 2], [f64::MIN; 2]), |(low, high), p| {
        (
            [low[0].min(p[0] - b), low[1].min(p[1] - b)],
            [high[0].max(p[0] + b), high[1].max(p[1] + b)],
        )
    });
    let size = [high[0] - low[0], high[1] - low[1]];
    let fits = |n: &f64| size[0] / n <= PLACE[0] && size[1] / n <= PLACE[1];
    let scale = SCALES.into_iter().find(fits).unwrap_or(500.0);
    let (margin, foot) = (MARGIN * scale, FOOT * scale);
    let (wide, tall) = (size[0] + 2.0 * margin, size[1] + 2.0 * margin + foot);
    let (left, top) = (low[0] - margin, low[1] - margin);
    let words = escaped(&format!(
        "Outline, one to {}, with a border of {}.",
        show::number(scale, 1),
        show::length(border, system)
    ));
    let shape: String = flat.rings.iter().map(ring).collect();
    let beside: String = flat.neighbours.iter().map(ring).collect();
    let letters = LETTERS * scale;
    let line = "fill=\"none\" stroke=\"#000\" stroke-width=\"1.5\" \
                vector-effect=\"non-scaling-stroke\"";
    let mut svg = format!(
        "<figure>\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{left:.2} {top:.2} \
         {wide:.2} {tall:.2}\" width=\"{:.2}mm\" height=\"{:.2}mm\" role=\"img\" \
         aria-label=\"{words}\">\n",
        wide / scale,
        tall / scale
    );
    let (inside, other) = match laid {
        Some(_) => ("none", "none"),
        None => ("#eee", "#fff"),
    };
    if let Some(laid) = laid {
        // Pixels are counted from the middle of the first one.
        let px = flat.frame.mm_per_px;
        let wide_all = wide;
        let [wide, tall] = [flat.frame.width, flat.frame.height].map(|n| f64::from(n) * px);
        svg += &format!(
            "<image href=\"{laid}\" x=\"{:.3}\" y=\"{:.3}\" width=\"{wide:.3}\" \
             height=\"{tall:.3}\" preserveAspectRatio=\"none\"/>\n<rect x=\"{left:.2}\" \
             y=\"{:.2}\" width=\"{wide_all:.2}\" height=\"{foot:.2}\" fill=\"#fff\"/>\n",
            -px / 2.0,
            -px / 2.0,
            high[1] + 2.0 * margin
        );
    }
    svg += &format!(
        "<path d=\"{shape}\" fill=\"none\" stroke=\"#ddd\" stroke-opacity=\"0.6\" \
         stroke-width=\"{:.2}\" stroke-linejoin=\"round\"/>\n<path d=\"{beside}\" fill=\"{other}\" \
         stroke=\"#888\" vector-effect=\"non-scaling-stroke\"/>\n<path d=\"{shape}\" \
         fill=\"{inside}\" fill-rule=\"evenodd\"/>\n<path d=\"{shape}\" {line}/>\n",
        2.0 * b
    );
    for one in measured {
        let [[ax, ay], [bx, by]] = one.ends.map(mm);
        let (x, y) = ((ax + bx) / 2.0, (ay + by) / 2.0 - scale);
        let length = escaped(&show::length(one.length.value, system));
        svg += &format!(
            "<path d=\"M{ax:.2} {ay:.2}L{bx:.2} {by:.2}\" {line}/>\n<text x=\"{x:.2}\" \
             y=\"{y:.2}\" font-size=\"{letters:.2}\">{length}</text>\n"
        );
    }
    let bar = round_length(20.0 * scale, system);
    let bottom = high[1] + margin + 0.55 * foot;
    let tick = 1.5 * scale;
    svg += &format!(
        "<path class=\"scale\" d=\"M{:.2} {:.2}v{tick:.2}h{bar:.2}v{:.2}\" {line}/>\n<text \
         x=\"{:.2}\" y=\"{bottom:.2}\" font-size=\"{letters:.2}\">{}</text>\n",
        low[0],
        bottom - tick,
        -tick,
        low[0] + bar + tick,
        escaped(&show::length(Millimetres(bar), system))
    );
    svg + &format!("</svg>\n<figcaption>{words}</figcaption>\n</figure>\n")
}

fn path(ring: impl Iterator<Item = Mm>) -> String {
    let mut d = String::new();
    for (i, [x, y]) in ring.enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        d += &format!("{letter}{x:.2} {y:.2}");
    }
    d + "z"
}

/// A length that is said in few digits, at least so long: 1, 2 or 5 of a power of ten in
/// millimetres, inches and their halves down to eighths.
fn round_length(least: f64, system: System) -> f64 {
    let (unit, rounds, base) = match system {
        System::Metric => (1.0, [1.0, 2.0, 5.0], 10.0_f64),
        System::UsCustomary => (MM_PER_INCH / 8.0, [1.0, 2.0, 4.0], 8.0),
    };
    let lengths = (0..12).flat_map(|power| rounds.map(|round| unit * round * base.powi(power)));
    lengths
        .into_iter()
        .find(|length| *length >= least)
        .unwrap_or(least)
}
