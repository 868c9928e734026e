//! Text for a narrow terminal: words wrapped at [`WIDTH`] with hanging indents, and styles.
//!
//! Leans on anstyle. Leaves to others: what is said (one file a command) and taking the styles
//! out again where no colour is wanted ([`super::run`]).

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};

/// Columns of a phone-width terminal; no line of text is wider.
pub const WIDTH: usize = 60;

const BOLD: Style = Style::new().bold();
const DIM: Style = Style::new().dimmed();
const CAUTION: Style = AnsiColor::Yellow.on_default();
const ALARM: Style = AnsiColor::Red.on_default().bold();

fn styled(style: Style, text: &str) -> String {
    format!("{}{text}{}", style.render(), style.render_reset())
}

/// A name or heading.
#[must_use]
pub fn strong(text: &str) -> String {
    styled(BOLD, text)
}

/// Something of less weight.
#[must_use]
pub fn faint(text: &str) -> String {
    styled(DIM, text)
}

/// A caution.
#[must_use]
pub fn caution(text: &str) -> String {
    styled(CAUTION, text)
}

/// What must not be missed.
#[must_use]
pub fn alarm(text: &str) -> String {
    styled(ALARM, text)
}

/// Words of an id: `low-back` as `low back`.
#[must_use]
pub fn words(id: &str) -> String {
    id.replace(['-', '_'], " ")
}

/// A text that stays on one line where it fits.
#[must_use]
pub fn kept(text: &str) -> String {
    text.replace(' ', KEPT)
}

/// Several things on one line, a dot between them that never begins a line.
#[must_use]
pub fn dotted<T: AsRef<str>>(things: &[T]) -> String {
    let things: Vec<&str> = things.iter().map(AsRef::as_ref).collect();
    things.join(&format!("{KEPT}· "))
}

/// Stands for a blank at which no line is broken.
const KEPT: &str = "\u{a0}";

/// One thing or several: `1 hit`, `3 hits`.
#[must_use]
pub fn counted(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

/// Text being set, line after line.
#[derive(Debug, Default)]
pub struct Page {
    text: String,
}

impl Page {
    /// An empty page.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// A paragraph at the left edge, or as far from it as its own leading blanks say.
    pub fn line(&mut self, text: &str) {
        let words = text.trim_start();
        self.hung(text.get(..text.len() - words.len()).unwrap_or_default(), words);
    }

    /// A paragraph behind `lead`; its further lines begin below the first.
    pub fn hung(&mut self, lead: &str, text: &str) {
        self.set(lead, width(lead), text);
    }

    /// A paragraph behind `lead`, its further lines indented by `indent`.
    pub fn set(&mut self, lead: &str, indent: usize, text: &str) {
        // However deep, some room is left for words.
        let indent = indent.min(WIDTH / 2);
        let mut line = String::from(lead);
        let mut used = width(lead);
        let mut fresh = true;
        let room = WIDTH - indent;
        // What is kept together comes apart only where it would not fit on a line of its own.
        let whole = text.split_ascii_whitespace();
        for word in whole.flat_map(|w| w.split(if width(w) > room { KEPT } else { "\n" })) {
            for piece in pieces(word, room) {
                let wide = width(&piece);
                let gap = usize::from(!fresh);
                if used + gap + wide > WIDTH && used > indent {
                    self.push(&line);
                    line = " ".repeat(indent);
                    used = indent;
                } else if !fresh {
                    line.push(' ');
                    used += 1;
                }
                line.push_str(&piece);
                used += wide;
                fresh = false;
            }
        }
        self.push(&line);
    }

    /// A heading behind `lead` with `mark` at the right edge, or behind its last word.
    pub fn headed(&mut self, lead: &str, text: &str, mark: &str) {
        let used = width(lead) + width(text);
        if used + 1 + width(mark) > WIDTH {
            self.hung(lead, &format!("{text} {mark}"));
        } else {
            let gap = " ".repeat(WIDTH - used - width(mark));
            self.push(&format!("{lead}{text}{gap}{mark}"));
        }
    }

    /// An empty line, unless one stands there already or nothing does.
    pub fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A line as it stands.
    pub fn verbatim(&mut self, line: &str) {
        self.push(line);
    }

    fn push(&mut self, line: &str) {
        let _ = writeln!(self.text, "{}", line.trim_end().replace(KEPT, " "));
    }

    /// The end of a reply: notes on how the question was read, then cautions.
    pub fn notes_and_cautions(&mut self, notes: &[String], cautions: &[&str]) {
        self.gap();
        for note in notes {
            self.hung("note: ", note);
        }
        self.gap();
        for text in cautions {
            self.hung(&caution("! "), &caution(text));
        }
    }

    /// The whole text.
    #[must_use]
    pub fn finish(self) -> String {
        self.text
    }
}

/// Columns that a text takes, styles aside.
#[must_use]
pub fn width(text: &str) -> usize {
    let mut columns = 0;
    let mut in_style = false;
    for c in text.chars() {
        match c {
            '\u{1b}' => in_style = true,
            'm' if in_style => in_style = false,
            _ if in_style => {}
            _ => columns += 1,
        }
    }
    columns
}

/// A word in pieces that fit into `room` columns; a word that fits stays whole.
fn pieces(word: &str, room: usize) -> Vec<String> {
    if width(word) <= room {
        return vec![word.to_string()];
    }
    let mut out = Vec::new();
    let mut piece = String::new();
    let mut used = 0;
    let mut in_style = false;
    for c in word.chars() {
        in_style |= c == '\u{1b}';
        if !in_style {
            if used == room {
                out.push(std::mem::take(&mut piece));
                used = 0;
            }
            used += 1;
        }
        piece.push(c);
        if c == 'm' {
            in_style = false;
        }
    }
    out.push(piece);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(set: impl FnOnce(&mut Page)) -> String {
        let mut page = Page::new();
        set(&mut page);
        page.finish()
    }

    #[test]
    fn words_wrap_below_the_first() {
        let text = page(|p| p.hung("  sore  ", &"winch ".repeat(20)));
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|l| width(l) <= WIDTH && l.starts_with("        ") | l.starts_with("  sore  ")));
    }

    #[test]
    fn a_word_wider_than_the_page_is_cut() {
        for lead in ["", "  ", "                    "] {
            let text = page(|p| p.hung(lead, &format!("see {} there", "x/".repeat(80))));
            assert!(text.lines().all(|l| width(l) <= WIDTH), "{text}");
            assert_eq!(text.matches("x/").count() + text.matches("x\n").count(), 80);
        }
    }

    #[test]
    fn a_deep_indent_leaves_room() {
        let text = page(|p| p.hung(&" ".repeat(58), "cox bowhand winch operator"));
        assert!(text.lines().all(|l| width(l) <= WIDTH), "{text}");
    }

    #[test]
    fn styles_take_no_room() {
        assert_eq!(width(&strong("oar")), 3);
        let line = page(|p| p.headed("1 ", &strong("Belt squat"), &faint("82")));
        assert_eq!(width(line.trim_end()), WIDTH);
    }

    #[test]
    fn what_is_kept_together_wraps_as_one() {
        let text = page(|p| p.hung("  ", &format!("{} {}", "x".repeat(50), kept("spine high to low"))));
        assert_eq!(text.lines().nth(1), Some("  spine high to low"));
    }

    #[test]
    fn what_is_too_long_to_keep_together_wraps_at_words() {
        let long = ["stock reaches 95 % of the usual load"; 3].join(", ");
        let text = page(|p| p.hung("   ", &dotted(&["plates".to_string(), kept(&long), kept("a staple")])));
        assert!(text.lines().all(|l| width(l) <= WIDTH && !l.trim_start().starts_with('·')), "{text}");
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(flat, format!("plates · {long} · a staple"));
    }

    #[test]
    fn gaps_never_double() {
        let text = page(|p| {
            p.gap();
            p.line("a");
            p.gap();
            p.gap();
            p.line("  b");
        });
        assert_eq!(text, "a\n\n  b\n");
    }
}
