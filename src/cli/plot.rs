//! A sweep as a plot: range, middle and the limits of the spine classes, as SVG text.
//!
//! Leans on plotters with its SVG backend alone. Leaves to others: the figures
//! ([`crate::ask::forces`]) and where the text goes ([`super::forces`]).

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::text::words;
use crate::ask::Error;
use crate::ask::forces::{Forces, SweepOver, SweepRead};
use crate::units::trim;

/// Size of the drawing.
const SIZE: (u32, u32) = (840, 560);
// Every colour is given, the ground too, so that a dark viewer changes nothing.
pub const GROUND: RGBColor = RGBColor(255, 255, 255);
pub const INK: RGBColor = RGBColor(32, 32, 32);
pub const PALE: RGBColor = RGBColor(225, 225, 225);
const BAND: RGBColor = RGBColor(180, 205, 235);
const MIDDLE: RGBColor = RGBColor(20, 70, 140);
const LIMIT: RGBColor = RGBColor(160, 70, 20);

/// Draws the sweep of `forces`.
///
/// # Errors
/// [`Error::Internal`] when the drawing fails, which no sweep makes it do.
pub fn svg(forces: &Forces<'_>, sweep: &SweepRead) -> Result<String, Error> {
    let mut text = String::new();
    draw(&mut text, forces, sweep).map_err(|e| Error::Internal(format!("the plot cannot be drawn: {e}")))?;
    Ok(text)
}

fn draw(text: &mut String, forces: &Forces<'_>, sweep: &SweepRead) -> Result<(), Box<dyn std::error::Error>> {
    let ends = sweep.rows.first().zip(sweep.rows.last()).map(|(first, last)| (first.at, last.at));
    let (left, right) = match ends {
        Some((from, to)) if to > from => (from, to),
        Some((only, _)) => (only - 1.0, only + 1.0),
        None => (0.0, 1.0),
    };
    let highest = sweep.rows.iter().map(|r| r.curve_n[2]).fold(0.0, f64::max);
    // Room for the first limit even where the lift stays far below it.
    let first_limit = forces.class.begins.first().map_or(0.0, |c| c.from_n);
    let top = highest.max(first_limit) * 1.08;

    let root = SVGBackend::with_string(text, SIZE).into_drawing_area();
    root.fill(&GROUND)?;
    let font = |size: i32| ("sans-serif", size).into_font().color(&INK);
    let person = &forces.person;
    let mut title = format!("{}: low back, estimated", forces.exercise.name);
    if sweep.over == SweepOver::Lean {
        title.push_str(&format!(", {} kg", trim(forces.load.kg)));
    }
    let (head, body) = root.split_vertically(58);
    let centred = |size| font(size).pos(Pos::new(HPos::Center, VPos::Top));
    let middle = (SIZE.0 / 2) as i32;
    head.draw(&Text::new(title, (middle, 12), centred(19)))?;
    let whom = format!(
        "{} kg, {} m, {}; band: 30 % either way; not a clearance to lift",
        trim(person.body_mass_kg),
        trim(person.height_m),
        person.sex
    );
    head.draw(&Text::new(whom, (middle, 37), centred(13)))?;

    let mut chart = ChartBuilder::on(&body)
        .margin(14)
        .x_label_area_size(46)
        .y_label_area_size(70)
        .build_cartesian_2d(left..right, 0.0..top)?;
    let x_desc = match sweep.over {
        SweepOver::Load => "load in all, kg",
        SweepOver::Lean => "trunk angle from upright, degrees",
    };
    chart
        .configure_mesh()
        .max_light_lines(0)
        .bold_line_style(PALE)
        .axis_style(INK)
        .x_desc(x_desc)
        .y_desc("compression of the low back, N")
        .axis_desc_style(font(15))
        .label_style(font(13))
        .x_label_formatter(&|x| trim(*x))
        .y_label_formatter(&|y| trim(*y))
        .draw()?;

    let curve = |which: usize| sweep.rows.iter().filter_map(move |r| Some((r.at, *r.curve_n.get(which)?)));
    let band: Vec<(f64, f64)> = curve(2).chain(curve(0).collect::<Vec<_>>().into_iter().rev()).collect();
    chart.draw_series(std::iter::once(Polygon::new(band, BAND)))?;
    for limit in forces.class.begins.iter().filter(|c| c.from_n <= top) {
        chart.draw_series(LineSeries::new([(left, limit.from_n), (right, limit.from_n)], LIMIT.stroke_width(1)))?;
        let label = format!("{} from {} N", words(limit.class.word()), trim(limit.from_n));
        let style = ("sans-serif", 13).into_font().color(&LIMIT).pos(Pos::new(HPos::Left, VPos::Bottom));
        let inset = left + (right - left) * 0.01;
        chart.draw_series(std::iter::once(Text::new(label, (inset, limit.from_n), style)))?;
    }
    chart.draw_series(LineSeries::new(curve(1), MIDDLE.stroke_width(2)))?;
    chart.draw_series(curve(1).map(|point| Circle::new(point, 3, MIDDLE.filled())))?;
    root.present()?;
    Ok(())
}
