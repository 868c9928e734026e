//! Full-text search over names, muscles, patterns and kit, forgiving of typing slips.
//!
//! Leans on tantivy for the index and strsim for the last order. Leaves to others: exact names
//! ([`super::names`]). The index is built in memory when first asked for.

use tantivy::collector::TopDocs;
use tantivy::query::{BooleanQuery, BoostQuery, FuzzyTermQuery, Occur, Query, TermQuery};
use tantivy::schema::{Field, INDEXED, IndexRecordOption, STORED, Schema, TextFieldIndexing, TextOptions, Value};
use tantivy::{Index, IndexReader, TantivyDocument, Term};

use crate::kb::Kb;
use crate::kb::fold::{expand, fold, word_key};

/// The index of one base.
pub struct TextIndex {
    reader: IndexReader,
    row: Field,
    fields: [(Field, f32); 4],
}

/// The index could not be built or asked.
#[derive(Debug, thiserror::Error)]
#[error("the text index failed: {0}")]
pub struct IndexError(#[from] tantivy::TantivyError);

/// Weights of the fields: a name says more than a pattern, muscle or kit.
const NAME: f32 = 3.0;
const ALIAS: f32 = 2.0;
const ABOUT: f32 = 1.0;
const KIT: f32 = 0.8;
/// How many hits are ordered again by spelling.
const POOL: usize = 60;
/// Memory of the writer, bytes; the least that tantivy takes for one thread.
const WRITER_BYTES: usize = 15_000_000;

impl TextIndex {
    /// Builds the index of a base in memory.
    ///
    /// # Errors
    /// [`IndexError`] when tantivy fails.
    pub fn build(kb: &Kb) -> Result<Self, IndexError> {
        let indexing = TextFieldIndexing::default().set_tokenizer("simple").set_index_option(IndexRecordOption::WithFreqs);
        let text = TextOptions::default().set_indexing_options(indexing);
        let mut schema = Schema::builder();
        let row = schema.add_u64_field("row", INDEXED | STORED);
        let name = schema.add_text_field("name", text.clone());
        let alias = schema.add_text_field("alias", text.clone());
        let about = schema.add_text_field("about", text.clone());
        let kit = schema.add_text_field("kit", text);
        let index = Index::create_in_ram(schema.build());
        index.tokenizers().register("simple", tantivy::tokenizer::TextAnalyzer::from(tantivy::tokenizer::SimpleTokenizer::default()));
        let mut writer = index.writer_with_num_threads::<TantivyDocument>(1, WRITER_BYTES)?;
        for at in 0..kb.len() {
            let Some(e) = kb.exercise(at) else { continue };
            let mut doc = TantivyDocument::default();
            doc.add_u64(row, at as u64);
            doc.add_text(name, expand(&e.name));
            for a in &e.aliases {
                doc.add_text(alias, expand(a));
            }
            for p in kb.patterns.iter().filter(|p| p.id == e.pattern) {
                doc.add_text(about, fold(&p.name));
                p.aliases.iter().for_each(|a| doc.add_text(about, fold(a)));
            }
            for m in kb.muscles.iter().filter(|m| e.muscles.get(&m.id).is_some_and(|w| *w >= 0.5)) {
                doc.add_text(about, fold(&m.name));
                doc.add_text(about, fold(&m.id));
                m.aliases.iter().for_each(|a| doc.add_text(about, fold(a)));
            }
            for q in kb.equipment.iter().filter(|q| e.equipment.iter().flatten().any(|i| *i == q.id)) {
                doc.add_text(kit, fold(&q.name));
                doc.add_text(kit, fold(&q.id));
                q.aliases.iter().for_each(|a| doc.add_text(kit, fold(a)));
            }
            writer.add_document(doc)?;
        }
        writer.commit()?;
        let reader = index.reader()?;
        Ok(Self { reader, row, fields: [(name, NAME), (alias, ALIAS), (about, ABOUT), (kit, KIT)] })
    }

    /// The best `top` rows for free text, each with its score; better text match first, then
    /// nearer spelling of a name, then row.
    ///
    /// # Errors
    /// [`IndexError`] when tantivy fails.
    pub fn find(&self, kb: &Kb, text: &str, top: usize) -> Result<Vec<(usize, f64)>, IndexError> {
        let wanted = expand(text);
        let mut words: Vec<(Occur, Box<dyn Query>)> = Vec::new();
        for word in wanted.split(' ').filter(|w| !w.is_empty()) {
            let mut ways: Vec<(Occur, Box<dyn Query>)> = Vec::new();
            for (field, weight) in self.fields {
                let term = Term::from_field_text(field, word);
                let exact: Box<dyn Query> = Box::new(TermQuery::new(term.clone(), IndexRecordOption::WithFreqs));
                ways.push((Occur::Should, Box::new(BoostQuery::new(exact, 4.0 * weight))));
                // One slip in a word of four letters, two in one of eight; shorter words must fit.
                let slips = match word.chars().count() {
                    0..=3 => 0,
                    4..=7 => 1,
                    _ => 2,
                };
                if slips > 0 {
                    let near: Box<dyn Query> = Box::new(FuzzyTermQuery::new(term.clone(), slips, true));
                    ways.push((Occur::Should, Box::new(BoostQuery::new(near, weight))));
                    let start: Box<dyn Query> = Box::new(FuzzyTermQuery::new_prefix(term, 0, true));
                    ways.push((Occur::Should, Box::new(BoostQuery::new(start, weight))));
                }
            }
            words.push((Occur::Should, Box::new(BooleanQuery::new(ways))));
        }
        if words.is_empty() {
            return Ok(Vec::new());
        }
        let searcher = self.reader.searcher();
        let hits = searcher.search(&BooleanQuery::new(words), &TopDocs::with_limit(POOL.max(top)).order_by_score())?;
        let key = word_key(text);
        let mut found = Vec::with_capacity(hits.len());
        for (score, address) in hits {
            let doc: TantivyDocument = searcher.doc(address)?;
            let Some(row) = doc.get_first(self.row).and_then(|v| v.as_u64()) else { continue };
            let row = row as usize;
            let Some(e) = kb.exercise(row) else { continue };
            // Fuzzy matches all score alike, so the spelling of whole names decides among them.
            let spelling = std::iter::once(&e.name)
                .chain(&e.aliases)
                .map(|n| strsim::jaro_winkler(&word_key(n), &key))
                .fold(0.0, f64::max);
            found.push((row, f64::from(score) * (0.5 + spelling)));
        }
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found.truncate(top);
        Ok(found)
    }
}
