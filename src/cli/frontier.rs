//! Gain against budget as a drawing, SVG text.
//!
//! Leans on plotters with its SVG backend alone. Leaves to others: the figures ([`crate::ask::kit`])
//! and where the text goes ([`super::kit`]).

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::plot::{GROUND, INK, PALE};
use crate::ask::Error;
use crate::ask::kit::{Point, Understood};
use crate::units::trim;

/// Size of the drawing.
const SIZE: (u32, u32) = (840, 480);
const LINE: RGBColor = RGBColor(20, 70, 140);
const ASKED: RGBColor = RGBColor(160, 70, 20);
/// Most characters of the names beside a point.
const LONGEST: usize = 46;

/// Draws the frontier.
///
/// # Errors
/// [`Error::Internal`] when the drawing fails, which no frontier makes it do.
pub fn svg(question: &Understood<'_>, points: &[Point<'_>]) -> Result<String, Error> {
    let mut text = String::new();
    draw(&mut text, question, points).map_err(|e| Error::Internal(format!("the plot cannot be drawn: {e}")))?;
    Ok(text)
}

fn draw(text: &mut String, question: &Understood<'_>, points: &[Point<'_>]) -> Result<(), Box<dyn std::error::Error>> {
    let right = points.iter().map(|p| p.budget).fold(1.0, f64::max);
    let top = points.iter().map(|p| p.gain).fold(1.0, f64::max) * 1.15;
    let root = SVGBackend::with_string(text, SIZE).into_drawing_area();
    root.fill(&GROUND)?;
    let font = |size: i32| ("sans-serif", size).into_font().color(&INK);
    let (head, body) = root.split_vertically(54);
    let centred = |size| font(size).pos(Pos::new(HPos::Center, VPos::Top));
    let middle = (SIZE.0 / 2) as i32;
    let name = question.gym.name.split(':').next().unwrap_or_default();
    head.draw(&Text::new(format!("{name}: gain against budget"), (middle, 10), centred(19)))?;
    let told = format!("{} questions; typical prices from memory; points of 100, estimated", question.questions);
    head.draw(&Text::new(told, (middle, 34), centred(13)))?;
    let mut chart = ChartBuilder::on(&body)
        .margin(14)
        .x_label_area_size(46)
        .y_label_area_size(60)
        .build_cartesian_2d(0.0..right, 0.0..top)?;
    chart
        .configure_mesh()
        .max_light_lines(0)
        .bold_line_style(PALE)
        .axis_style(INK)
        .x_desc(format!("budget, {}", question.currency))
        .y_desc("gain, points of 100")
        .axis_desc_style(font(15))
        .label_style(font(13))
        .x_label_formatter(&|x| trim(*x))
        .y_label_formatter(&|y| trim(*y))
        .draw()?;
    // A gain holds from the price of its set up to the price of the next better one.
    let mut steps = vec![(0.0, 0.0)];
    for point in points {
        let before = steps.last().map_or(0.0, |(_, gain)| *gain);
        steps.extend([(point.price.min(point.budget), before), (point.price.min(point.budget), point.gain)]);
        steps.push((point.budget, point.gain));
    }
    steps.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    chart.draw_series(LineSeries::new(steps, LINE.stroke_width(2)))?;
    chart.draw_series(LineSeries::new([(question.budget, 0.0), (question.budget, top)], ASKED.stroke_width(1)))?;
    let small = |colour: &RGBColor, place: Pos| ("sans-serif", 12).into_font().color(colour).pos(place);
    let asked = small(&ASKED, Pos::new(HPos::Left, VPos::Top));
    let label = format!(" your budget, {}", trim(question.budget));
    chart.draw_series(std::iter::once(Text::new(label, (question.budget, top * 0.08), asked)))?;
    let mut shown: &[&str] = &[];
    for point in points.iter().filter(|p| p.gain > 0.0) {
        chart.draw_series(std::iter::once(Circle::new((point.price, point.gain), 4, LINE.filled())))?;
        if point.things.as_slice() == shown {
            continue;
        }
        shown = &point.things;
        let all = point.things.join(", ");
        let names: String = if all.chars().count() > LONGEST { format!("{} things", point.things.len()) } else { all };
        let left = point.price < right * 0.6;
        let place = if left { Pos::new(HPos::Left, VPos::Top) } else { Pos::new(HPos::Right, VPos::Bottom) };
        let at = (point.price, point.gain);
        chart.draw_series(std::iter::once(Text::new(format!(" {names} "), at, small(&INK, place))))?;
    }
    root.present()?;
    Ok(())
}
