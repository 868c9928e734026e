//! A week as a drawing: spine load by day, stacked by exercise, and sets by muscle; SVG text.
//!
//! Leans on plotters with its SVG backend alone. Leaves to others: the figures
//! ([`crate::ask::week::audit`]) and where the text goes ([`super::audit`]).

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::ask::Error;
use crate::ask::week::audit::{AuditRead, MuscleRead};
use crate::cli::plot::{GROUND, INK, PALE};
use crate::units::trim;
use crate::week::Day;

/// Width of the drawing.
const WIDTH: u32 = 840;
/// Height of the chart of days.
const DAYS_HEIGHT: u32 = 440;
/// Height of a muscle's bar, and of what stands around them.
const BAR: u32 = 22;
const AROUND: u32 = 90;
/// Room for the names of exercises.
const LEGEND: u32 = 250;

/// Colours of exercises, told apart also without colour sight by their order; the last is for all
/// others.
const COLOURS: [RGBColor; 8] = [
    RGBColor(0, 90, 150),
    RGBColor(220, 140, 20),
    RGBColor(30, 140, 110),
    RGBColor(190, 80, 50),
    RGBColor(90, 170, 220),
    RGBColor(160, 110, 160),
    RGBColor(120, 120, 40),
    RGBColor(150, 150, 150),
];
const HELPED: RGBColor = RGBColor(170, 200, 225);
const DIRECT: RGBColor = RGBColor(0, 90, 150);

/// Draws an audited week.
///
/// # Errors
/// [`Error::Internal`] when the drawing fails, which no week makes it do.
pub fn svg(week: &AuditRead<'_>) -> Result<String, Error> {
    let mut text = String::new();
    draw(&mut text, week).map_err(|e| Error::Internal(format!("the chart cannot be drawn: {e}")))?;
    Ok(text)
}

type Fallible = Result<(), Box<dyn std::error::Error>>;

fn draw(text: &mut String, week: &AuditRead<'_>) -> Fallible {
    let mut muscles: Vec<&MuscleRead<'_>> = week.muscles.iter().collect();
    muscles.sort_by(|a, b| a.sets.total_cmp(&b.sets).then(b.muscle.cmp(a.muscle)));
    let bars = u32::try_from(muscles.len()).unwrap_or(1).max(1);
    let root = SVGBackend::with_string(text, (WIDTH, DAYS_HEIGHT + AROUND + bars * BAR)).into_drawing_area();
    root.fill(&GROUND)?;
    let (above, below) = root.split_vertically(DAYS_HEIGHT);
    let (left, right) = above.split_horizontally(WIDTH - LEGEND);
    days(&left, week)?;
    legend(&right, week)?;
    sets(&below, &muscles)?;
    root.present()?;
    Ok(())
}

fn font(size: i32) -> TextStyle<'static> {
    ("sans-serif", size).into_font().color(&INK)
}

/// The colour of an exercise by its place among those that load the spine most.
fn colour(week: &AuditRead<'_>, id: &str) -> usize {
    let place = week.exercises.iter().position(|e| e.exercise.id == id).unwrap_or(usize::MAX);
    place.min(COLOURS.len() - 1)
}

fn days(area: &DrawingArea<SVGBackend<'_>, Shift>, week: &AuditRead<'_>) -> Fallible {
    let total = |rows: &[crate::ask::week::audit::RowRead<'_>]| rows.iter().map(|r| r.dose_mid).sum::<f64>();
    let top = week.days.iter().map(|d| total(&d.rows)).fold(0.0, f64::max).max(1.0) * 1.12;
    let mut chart = ChartBuilder::on(area)
        .caption("Relative spinal loading by day, estimated", font(17))
        .margin(12)
        .x_label_area_size(40)
        .y_label_area_size(60)
        .build_cartesian_2d(0.5f64..7.5, 0.0..top)?;
    chart
        .configure_mesh()
        .disable_x_mesh()
        .max_light_lines(0)
        .bold_line_style(PALE)
        .axis_style(INK)
        .x_labels(8)
        .label_style(font(13))
        .y_label_formatter(&|y| trim(*y))
        .x_label_formatter(&|x| {
            let day = (x.fract() == 0.0).then_some(*x as u8).and_then(Day::new);
            day.map_or_else(String::new, |d| d.short().to_string())
        })
        .draw()?;
    for day in &week.days {
        let at = f64::from(day.day);
        let mut rows: Vec<_> = day.rows.iter().filter(|r| r.dose_mid > 0.0).collect();
        rows.sort_by_key(|r| (colour(week, r.exercise.id), r.line));
        let mut from = 0.0;
        for row in rows {
            let to = from + row.dose_mid;
            let fill = COLOURS.get(colour(week, row.exercise.id)).copied().unwrap_or(INK);
            let corners = [(at - 0.36, from), (at + 0.36, to)];
            chart.draw_series(std::iter::once(Rectangle::new(corners, fill.filled())))?;
            chart.draw_series(std::iter::once(Rectangle::new(corners, GROUND.stroke_width(1))))?;
            from = to;
        }
        let points = format!("{} points", day.sums.points);
        let style = font(12).pos(Pos::new(HPos::Center, VPos::Bottom));
        chart.draw_series(std::iter::once(Text::new(points, (at, from + top * 0.01), style)))?;
    }
    Ok(())
}

fn legend(area: &DrawingArea<SVGBackend<'_>, Shift>, week: &AuditRead<'_>) -> Fallible {
    let shown = week.exercises.iter().filter(|e| e.sums.dose.mid > 0.0);
    let count = shown.clone().count();
    let mut y = 60;
    for (place, exercise) in shown.enumerate().take(COLOURS.len()) {
        let last = place == COLOURS.len() - 1;
        let name = if last && count > COLOURS.len() { "all others" } else { exercise.exercise.name };
        let fill = COLOURS.get(place).copied().unwrap_or(INK);
        area.draw(&Rectangle::new([(4, y - 6), (16, y + 6)], fill.filled()))?;
        let style = font(13).pos(Pos::new(HPos::Left, VPos::Center));
        let name: String = name.chars().take(34).collect();
        area.draw(&Text::new(name, (22, y), style))?;
        y += 22;
    }
    for line in ["points: a coach's tiers, 0 to 3 a hard set", "not a measure of harm"] {
        y += 18;
        area.draw(&Text::new(line, (4, y), font(11)))?;
    }
    Ok(())
}

fn sets(area: &DrawingArea<SVGBackend<'_>, Shift>, muscles: &[&MuscleRead<'_>]) -> Fallible {
    let most = muscles.iter().map(|m| m.sets).fold(10.0, f64::max) * 1.25;
    let count = muscles.len().max(1) as f64;
    let mut chart = ChartBuilder::on(area)
        .caption("Sets by muscle: dark as a main mover, light as a helper", font(17))
        .margin(12)
        .x_label_area_size(28)
        .y_label_area_size(150)
        .build_cartesian_2d(0.0..most, 0.0..count)?;
    chart
        .configure_mesh()
        .disable_y_mesh()
        .disable_y_axis()
        .max_light_lines(0)
        .bold_line_style(PALE)
        .axis_style(INK)
        .label_style(font(13))
        .x_label_formatter(&|x| trim(*x))
        .draw()?;
    for (place, muscle) in muscles.iter().enumerate() {
        let low = place as f64 + 0.15;
        let high = low + 0.7;
        let bar = |from: f64, to: f64, fill: RGBColor| Rectangle::new([(from, low), (to, high)], fill.filled());
        chart.draw_series(std::iter::once(bar(0.0, muscle.direct, DIRECT)))?;
        chart.draw_series(std::iter::once(bar(muscle.direct, muscle.sets, HELPED)))?;
        let middle = (low + high) / 2.0;
        let style = font(12).pos(Pos::new(HPos::Left, VPos::Center));
        let label = format!("{} {}", trim(muscle.sets), muscle.label);
        chart.draw_series(std::iter::once(Text::new(label, (muscle.sets + most * 0.01, middle), style)))?;
        let (_, y) = chart.backend_coord(&(0.0, middle));
        let (x, _) = chart.backend_coord(&(0.0, 0.0));
        // Names stand left of the chart, where the axis would write numbers.
        let style = font(12).pos(Pos::new(HPos::Right, VPos::Center));
        let (left, top) = area.get_base_pixel();
        area.draw(&Text::new(muscle.name.to_string(), (x - left - 8, y - top), style))?;
    }
    Ok(())
}
