//! One sheet: columns, rows and cells, which say how often they are repeated.

use quick_xml::events::{BytesStart, Event};

use super::cell::{self, Content, count};
use super::mapped::Mapped;
use super::styles::Styles;
use super::text;
use crate::grid::Look;
use crate::place::{Address, Span};
use crate::read::collect::{Budget, Sheet};
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::xlsx::address;
use crate::read::xml::{Xml, attribute, attributes};

/// How many alike cells that hold nothing, one beside or below the other, may belong to a chart. More are a stretch
/// filled to the end of the sheet.
const BLANKS: u32 = 1_000;

/// How far such a stretch is followed.
const STRETCH: u32 = 200;

/// A sheet being read.
pub(super) struct Table<'a> {
    /// Its cells.
    pub(super) sheet: &'a mut Sheet,
    /// What the file may still hold.
    pub(super) budget: &'a mut Budget,
    /// The file's styles.
    pub(super) styles: &'a mut Styles,
    /// Its cells whose style changes where a condition holds.
    pub(super) mapped: Mapped,
}

/// A cell, or several alike side by side.
struct Piece {
    column: u32,
    repeated: u32,
    content: Content,
    comment: Option<String>,
    look: Option<Look>,
    /// Whether its own style, or that of its row, changes where a condition holds; none where its column says.
    mapped: Option<bool>,
    columns: u32,
    rows: u32,
}

/// What the tag of a row or a column says.
struct Run {
    repeated: u32,
    hidden: bool,
    /// Name of the style of cells that have none of their own.
    style: Option<String>,
}

impl Table<'_> {
    /// Reads the table whose start was read last.
    pub(super) fn read(&mut self, xml: &mut Xml<'_>) -> Result<(), Fault> {
        enum Part {
            Row(Run),
            Column(Run),
            Group,
            Other,
        }
        // Groups of rows and columns may nest.
        let mut groups = 0usize;
        let mut conditions_apart = false;
        let (mut row, mut column) = (0u32, 0u32);
        loop {
            let part = match xml.next()? {
                Event::Start(start) => match start.name().as_ref() {
                    "table:table-row" => Part::Row(run(&start, "table:number-rows-repeated")),
                    "table:table-column" => Part::Column(run(&start, "table:number-columns-repeated")),
                    "table:table-rows"
                    | "table:table-row-group"
                    | "table:table-header-rows"
                    | "table:table-columns"
                    | "table:table-column-group"
                    | "table:table-header-columns" => Part::Group,
                    "calcext:conditional-formats" => Part::Group,
                    "calcext:conditional-format" => {
                        conditions_apart = true;
                        let cells = attribute(&start, "target-range-address").unwrap_or_default();
                        self.conditional(&cells)?;
                        Part::Other
                    }
                    // Shapes, forms, links to other files.
                    _ => Part::Other,
                },
                Event::End(_) if groups > 0 => {
                    groups -= 1;
                    continue;
                }
                Event::End(_) | Event::Eof => break,
                _ => continue,
            };
            match part {
                Part::Row(run) => {
                    let end = row.saturating_add(run.repeated);
                    if run.hidden {
                        self.sheet.hide_rows(self.budget, row, end - 1)?;
                    }
                    let mut mapped = None;
                    if let Some(style) = &run.style {
                        let (look, changes) = self.styles.look(style);
                        mapped = Some(changes);
                        self.sheet.look_of_rows(self.budget, row, end - 1, look)?;
                    }
                    let pieces = self.row(xml, mapped)?;
                    self.put_row(&pieces, row, run.repeated)?;
                    row = end;
                }
                Part::Column(run) => {
                    let end = column.saturating_add(run.repeated);
                    if run.hidden {
                        self.sheet.hide_columns(self.budget, column, end - 1)?;
                    }
                    if let Some(style) = &run.style {
                        let (look, changes) = self.styles.look(style);
                        if changes {
                            self.mapped.columns(column, end - 1);
                        }
                        self.sheet.look_of_columns(self.budget, column, end - 1, look)?;
                    }
                    column = end;
                    xml.skip()?;
                }
                Part::Group => groups += 1,
                Part::Other => xml.skip()?,
            }
        }
        // Newer programs write the conditions twice, the second time for readers that know no others.
        if !conditions_apart {
            for cells in std::mem::take(&mut self.mapped).finish() {
                self.sheet.conditional(self.budget, cells)?;
            }
        }
        Ok(())
    }

    /// Cells that a condition is for: "Sheet1.B2:Sheet1.K9 Sheet1.B12".
    fn conditional(&mut self, cells: &str) -> Result<(), Fault> {
        let cell = |name: &str| address(name.rsplit_once('.').map_or(name, |(_, cell)| cell));
        for range in cells.split_whitespace() {
            let (first, last) = range.split_once(':').unwrap_or((range, range));
            if let (Some(first), Some(last)) = (cell(first), cell(last)) {
                self.sheet.conditional(self.budget, Span::from(first).join(Span::from(last)))?;
            }
        }
        Ok(())
    }

    /// The cells of the row whose start was read last, as far as they hold something or have a style.
    /// `mapped` is whether the row's style changes where a condition holds, if it has one.
    fn row(&mut self, xml: &mut Xml<'_>, mapped: Option<bool>) -> Result<Vec<Piece>, Fault> {
        let mut pieces = Vec::new();
        let mut column = 0u32;
        loop {
            let (tag, covered) = match xml.next()? {
                Event::Start(start) => match start.name().as_ref() {
                    "table:table-cell" => (cell::tag(&start), false),
                    // Lies under a merged cell: what it still holds can't be seen, its edges can.
                    "table:covered-table-cell" => (cell::tag(&start), true),
                    _ => {
                        xml.skip()?;
                        continue;
                    }
                },
                Event::End(_) | Event::Eof => return Ok(pieces),
                _ => continue,
            };
            let text::Texts { shown, comment } = text::texts(xml)?;
            let content = if covered { Content::Nothing } else { tag.content(shown) };
            let (look, mapped) = match tag.style.as_ref().map(|style| self.styles.look(style)) {
                Some((look, mapped)) => (Some(look), Some(mapped)),
                None => (None, mapped),
            };
            let (columns, rows) = if covered { (1, 1) } else { (tag.columns, tag.rows) };
            let stands = !matches!(content, Content::Nothing) || comment.is_some();
            if stands || look.is_some() || columns > 1 || rows > 1 {
                if pieces.len() >= limits::COLUMNS as usize {
                    return Err(Fault::too_many("columns", u64::from(limits::COLUMNS)));
                }
                let repeated = tag.repeated;
                pieces.push(Piece { column, repeated, content, comment, look, mapped, columns, rows });
            }
            column = column.saturating_add(tag.repeated);
        }
    }

    /// Puts a row's cells where they stand, as often as they stand there.
    fn put_row(&mut self, pieces: &[Piece], row: u32, repeated: u32) -> Result<(), Fault> {
        let mut mapped = Vec::new();
        for piece in pieces {
            let blank = matches!(piece.content, Content::Nothing) && piece.columns == 1 && piece.rows == 1;
            let (rows, columns) = if blank {
                (followed(repeated), followed(piece.repeated))
            } else {
                (repeated, piece.repeated)
            };
            let last = piece.column.saturating_add(columns.max(piece.columns) - 1);
            match piece.mapped {
                Some(true) => mapped.push((piece.column, last)),
                Some(false) => {}
                None => mapped.extend(self.mapped.by_default(piece.column, last)),
            }
            // Alike cells have one comment, which is said once.
            if let Some(comment) = &piece.comment {
                self.sheet.comment(self.budget, Address::new(row, piece.column), comment)?;
            }
            for row in row..row.saturating_add(rows) {
                for column in piece.column..piece.column.saturating_add(columns) {
                    self.put(piece, Address::new(row, column))?;
                }
            }
        }
        self.mapped.rows(row, row.saturating_add(followed(repeated) - 1), mapped);
        Ok(())
    }

    fn put(&mut self, piece: &Piece, at: Address) -> Result<(), Fault> {
        match &piece.content {
            Content::Nothing => {}
            Content::Value(value) => self.sheet.put(self.budget, at, value.clone())?,
            Content::Formula(formula) => self.sheet.put_formula(self.budget, at, formula)?,
        }
        if let Some(look) = piece.look {
            self.sheet.put_look(self.budget, at, look)?;
        }
        if piece.columns > 1 || piece.rows > 1 {
            let last = Address::new(
                at.row.saturating_add(piece.rows - 1).min(limits::ROWS - 1),
                at.column.saturating_add(piece.columns - 1).min(limits::COLUMNS - 1),
            );
            self.sheet.merge(self.budget, Span::from(at).join(Span::from(last)))?;
        }
        Ok(())
    }
}

/// How many of so many alike cells that hold nothing are looked at.
const fn followed(repeated: u32) -> u32 {
    if repeated > BLANKS { STRETCH } else { repeated }
}

fn run(start: &BytesStart<'_>, repeats: &str) -> Run {
    let mut run = Run { repeated: 1, hidden: false, style: None };
    for (name, value) in attributes(start) {
        match name {
            "table:visibility" => run.hidden = matches!(&*value, "collapse" | "filter"),
            "table:default-cell-style-name" => run.style = Some(value.into_owned()),
            name if name == repeats => run.repeated = count(&value),
            _ => {}
        }
    }
    run
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::{Colour, Grid, Value};

    fn grid(rows: &str) -> Grid {
        let xml = format!("<table:table>{rows}</table:table>");
        let mut xml = Xml::new(xml.as_bytes(), 10_000);
        assert!(matches!(xml.next(), Ok(Event::Start(_))));
        let mut sheet = Sheet::new(Grid::sheet("a.fods".into(), "S"));
        let (mut budget, mut styles) = (Budget::default(), styles());
        let mapped = Mapped::default();
        let mut table = Table { sheet: &mut sheet, budget: &mut budget, styles: &mut styles, mapped };
        table.read(&mut xml).unwrap();
        sheet.finish()
    }

    /// Grey for `ce1`, white for `ce2`, nothing for `ce3`, a condition and nothing else for `ce4`.
    fn styles() -> Styles {
        let mut styles = Styles::default();
        for (name, fill) in
            [("ce1", "#d9d9d9"), ("ce2", "#ffffff"), ("ce3", "transparent"), ("ce4", "transparent")]
        {
            let style = format!(r#"style:style style:name="{name}" style:family="table-cell""#);
            styles.note(&BytesStart::from_content(style, "style:style".len())).unwrap();
            let properties = format!(r#"style:table-cell-properties fo:background-color="{fill}""#);
            styles.note(&BytesStart::from_content(properties, "style:table-cell-properties".len())).unwrap();
        }
        let map = r#"style:map style:condition="cell-content()=1" style:apply-style-name="ce1""#;
        styles.note(&BytesStart::from_content(map, "style:map".len())).unwrap();
        styles
    }

    fn shown(grid: &Grid) -> String {
        let cells: Vec<String> =
            grid.cells.iter().map(|cell| format!("{}={}", cell.at, cell.value.text())).collect();
        cells.join(" ")
    }

    /// Source: OpenDocument 1.3 part 3, chapter 9; XML as LibreOffice writes it.
    #[test]
    fn repeated_rows_and_cells_keep_their_places() {
        let grid = grid(
            r#"<office:forms/><table:table-column/>
            <table:table-row table:number-rows-repeated="3"><table:table-cell/></table:table-row>
            <table:table-header-rows>
            <table:table-row table:number-rows-repeated="2">
              <table:table-cell table:number-columns-repeated="2"/>
              <table:table-cell table:number-columns-repeated="3" office:value-type="string"><text:p>k</text:p></table:table-cell>
              <table:table-cell table:number-columns-repeated="16379"/>
            </table:table-row>
            </table:table-header-rows>
            <table:table-row table:number-rows-repeated="1048571"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>"#,
        );
        assert_eq!(shown(&grid), "C4=k D4=k E4=k C5=k D5=k E5=k");
    }

    #[test]
    fn spans_are_merges_and_what_they_cover_is_left_out() {
        let grid = grid(
            r#"<table:table-row>
              <table:table-cell table:number-columns-spanned="3" table:number-rows-spanned="2" office:value-type="string"><text:p>2/2 RC</text:p></table:table-cell>
              <table:covered-table-cell table:number-columns-repeated="2" office:value-type="string"><text:p>old</text:p></table:covered-table-cell>
              <table:table-cell office:value-type="string"><text:p>k</text:p></table:table-cell>
            </table:table-row>
            <table:table-row>
              <table:covered-table-cell table:number-columns-repeated="3"/>
              <table:table-cell office:value-type="string"><text:p>p</text:p></table:table-cell>
            </table:table-row>"#,
        );
        assert_eq!(shown(&grid), "A1=2/2 RC D1=k D2=p");
        assert_eq!(grid.merges.iter().map(ToString::to_string).collect::<Vec<_>>(), ["A1:C2"]);
    }

    #[test]
    fn values_go_before_what_is_shown() {
        let grid = grid(
            r##"<table:table-row>
              <table:table-cell office:value-type="float" office:value="3" calcext:value-type="float"><text:p>3.00</text:p></table:table-cell>
              <table:table-cell office:value-type="date" office:date-value="2026-01-02"><text:p>02/01</text:p></table:table-cell>
              <table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>TRUE</text:p></table:table-cell>
              <table:table-cell office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>#NAME?</text:p></table:table-cell>
              <table:table-cell office:value-type="time" office:time-value="PT06H00M00S"><text:p>06:00</text:p></table:table-cell>
              <table:table-cell office:value-type="float" office:value="oops"><text:p>7</text:p></table:table-cell>
              <table:table-cell><office:annotation><text:p>note</text:p></office:annotation></table:table-cell>
            </table:table-row>"##,
        );
        let values: Vec<Value> = grid.cells.into_iter().map(|cell| cell.value).collect();
        assert_eq!(
            values,
            [
                Value::Number(3.0),
                Value::Date { year: 2026, month: 1, day: 2 },
                Value::Truth(true),
                Value::Error("#NAME?".into()),
                Value::Number(0.25),
                Value::Text("7".into()),
            ]
        );
    }
    #[test]
    fn looks_and_hidden_rows_and_columns_are_kept() {
        let grid = grid(
            r#"<table:table-column table:number-columns-repeated="2"/>
            <table:table-column table:visibility="collapse" table:default-cell-style-name="ce2"/>
            <table:table-column-group><table:table-column table:number-columns-repeated="16381" table:default-cell-style-name="ce3"/></table:table-column-group>
            <table:table-row table:visibility="filter" table:number-rows-repeated="2"><table:table-cell/></table:table-row>
            <table:table-row table:default-cell-style-name="ce2"><table:table-cell/><table:table-cell table:style-name="ce1" table:number-columns-repeated="16383"/></table:table-row>
            <table:table-row table:number-rows-repeated="1048573"><table:table-cell table:style-name="ce1"/></table:table-row>"#,
        );
        let fill = |row, column| {
            grid.looks.at(Address::new(row, column)).fill.map(|fill| fill.to_string()).unwrap_or_default()
        };
        let (grey, white) = (Colour([0xd9; 3]).to_string(), Colour::WHITE.to_string());
        assert_eq!([fill(0, 0), fill(0, 2), fill(0, 3)], [String::new(), white.clone(), String::new()]);
        assert_eq!([fill(2, 0), fill(2, 1), fill(2, 200)], [white.clone(), grey.clone(), grey.clone()]);
        assert_eq!([fill(3, 0), fill(2, 201)], [grey, white]);
        let hidden = |bands: &crate::grid::Bands<()>| {
            bands.iter().map(|band| (band.first, band.last)).collect::<Vec<_>>()
        };
        assert_eq!(hidden(&grid.hidden_rows), [(0, 1)]);
        assert_eq!(hidden(&grid.hidden_columns), [(2, 2)]);
        assert_eq!(grid.cells, []);
    }

    /// Cells, a row and a column of a style with a condition; a cell with a style of its own has none.
    const CONDITIONS: &str = r#"<table:table-column/><table:table-column table:default-cell-style-name="ce4"/>
        <table:table-row table:number-rows-repeated="2">
          <table:table-cell table:style-name="ce4" office:value-type="string"><text:p>k</text:p></table:table-cell>
          <table:table-cell office:value-type="string" table:number-columns-repeated="2"><text:p>p</text:p></table:table-cell>
        </table:table-row>
        <table:table-row>
          <table:table-cell/>
          <table:table-cell table:style-name="ce1" office:value-type="string"><text:p>p</text:p></table:table-cell>
        </table:table-row>
        <table:table-row table:default-cell-style-name="ce4">
          <table:table-cell/>
          <table:table-cell office:value-type="string" table:number-columns-repeated="3"><text:p>p</text:p></table:table-cell>
        </table:table-row>"#;

    #[test]
    fn conditions_of_styles_are_told_where_the_sheet_lists_none() {
        let told = |rows: &str| {
            let cells: Vec<String> = grid(rows).conditional.iter().map(ToString::to_string).collect();
            cells.join(" ")
        };
        assert_eq!(told(CONDITIONS), "A1:B2 B4:D4");
        let listed = r#"<calcext:conditional-formats><calcext:conditional-format calcext:target-range-address="S.A1:S.B2"/></calcext:conditional-formats>"#;
        assert_eq!(told(&format!("{CONDITIONS}{listed}")), "A1:B2");
    }
}
