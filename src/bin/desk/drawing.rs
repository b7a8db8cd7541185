//! The traced outline to scale on paper, as SVG, with its border strip, what was measured, and a
//! scale bar.

use crate::sheet::escaped;
use peelcast::job::{Flat, Measured, OnPaper};
use peelcast::quantity::Millimetres;
use peelcast::quantity::show::{self, System};
use peelcast::survey::Mm;

/// Draws it, true to scale when it is printed at full size, over the photo laid flat where that has
/// an address.
pub fn outline(
    flat: &Flat,
    laid: Option<&str>,
    measured: &[Measured],
    border: Millimetres,
    system: System,
) -> String {
    let paper = OnPaper::of(flat, measured, border, system);
    let words = escaped(&format!(
        "Outline, one to {}, with a border of {}.",
        show::number(paper.scale, 1),
        show::length(border, system)
    ));
    let letters = paper.letters;
    let line = "fill=\"none\" stroke=\"#000\" stroke-width=\"1.5\" \
                vector-effect=\"non-scaling-stroke\"";
    let [left, top, wide, tall] = paper.view;
    let [on_paper_wide, on_paper_tall] = paper.size();
    let mut svg = format!(
        "<figure>\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{left:.2} {top:.2} \
         {wide:.2} {tall:.2}\" width=\"{on_paper_wide:.2}mm\" height=\"{on_paper_tall:.2}mm\" \
         role=\"img\" aria-label=\"{words}\">\n"
    );
    let (inside, other) = match laid {
        Some(_) => ("none", "none"),
        None => ("#eee", "#fff"),
    };
    if let Some(laid) = laid {
        let ([x, y, wide, tall], [left, top, across, foot]) = (paper.photo, paper.foot);
        svg += &format!(
            "<image href=\"{laid}\" x=\"{x:.3}\" y=\"{y:.3}\" width=\"{wide:.3}\" \
             height=\"{tall:.3}\" preserveAspectRatio=\"none\"/>\n<rect x=\"{left:.2}\" \
             y=\"{top:.2}\" width=\"{across:.2}\" height=\"{foot:.2}\" fill=\"#fff\"/>\n"
        );
    }
    let (shape, beside) = (&paper.shape, &paper.beside);
    svg += &format!(
        "<path d=\"{shape}\" fill=\"none\" stroke=\"#ddd\" stroke-opacity=\"0.6\" \
         stroke-width=\"{:.2}\" stroke-linejoin=\"round\"/>\n<path d=\"{beside}\" fill=\"{other}\" \
         stroke=\"#888\" vector-effect=\"non-scaling-stroke\"/>\n<path d=\"{shape}\" \
         fill=\"{inside}\" fill-rule=\"evenodd\"/>\n<path d=\"{shape}\" {line}/>\n",
        2.0 * border.0
    );
    let mut drawn = |(path, [x, y], length): &(String, Mm, String), class: &str| {
        svg += &format!(
            "<path{class} d=\"{path}\" {line}/>\n<text x=\"{x:.2}\" y=\"{y:.2}\" \
             font-size=\"{letters:.2}\">{}</text>\n",
            escaped(length)
        );
    };
    paper.lengths.iter().for_each(|length| drawn(length, ""));
    drawn(&paper.bar, " class=\"scale\"");
    svg + &format!("</svg>\n<figcaption>{words}</figcaption>\n</figure>\n")
}
