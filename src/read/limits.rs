//! How large a file may be. The largest charts known (picture blankets) have some 120,000 cells; everything here
//! leaves room for many of them in one file, and still lets a file made to exhaust the machine be refused within
//! a second and 200 MB.

/// Bytes of a file as it lies on disk.
pub const FILE_BYTES: usize = 64 << 20;

/// Bytes of a csv or tsv file. A million cells with a symbol each take 2 MB; reading holds the text several times.
pub const DELIMITED_BYTES: usize = 16 << 20;

/// Bytes of a text of written rows. A book of a thousand patterns has some 5 MB of text.
pub const LINED_BYTES: usize = 16 << 20;

/// Bytes that all parts of a zipped file may unpack to. A sheet of a million cells takes about 60 MB of XML.
pub const UNPACKED_BYTES: u64 = 256 << 20;

/// Bytes of one piece of XML: a tag with its attributes, or the text between two tags. It is held in memory
/// whole. A cell's text has at most 32,767 characters.
pub const XML_PIECE_BYTES: usize = 4 << 20;

/// The same in a flat ods, which also holds pictures as text.
pub const FLAT_PIECE_BYTES: usize = 32 << 20;

/// Tags and texts between them, in all XML of a file. A cell takes seven or fewer, a row two; more can't be read in a
/// second.
pub const XML_PIECES: u64 = 8_000_000;

/// How deep XML elements may nest; spreadsheets stay below twenty.
pub const XML_DEPTH: usize = 200;

/// Bytes that a binary part, which is held in memory whole, may unpack to.
pub const BINARY_PART_BYTES: u64 = 64 << 20;

/// Cells that hold something, all sheets of a file together.
pub const CELLS: usize = 1_000_000;

/// Bytes of text, all cells of a file together.
pub const TEXT_BYTES: usize = 64 << 20;

/// Merged ranges, all sheets of a file together. In a damaged file they may all lie over each other, which is slow for
/// very many.
pub const MERGES: usize = 20_000;

/// Comments, all sheets of a file together.
pub const COMMENTS: usize = 100_000;

/// Ranges with conditional formats, all sheets of a file together.
pub const CONDITIONAL: usize = 100_000;

/// Cells with a look of their own, all sheets together.
pub const LOOKS: usize = 1_000_000;

/// Cells with a style, whether it makes them look different or not, all sheets together.
pub const LOOKED_AT: usize = 20_000_000;

/// Runs of rows and columns that are hidden or have a look of their own, all sheets together. They are kept in order
/// whatever their order in the file, which is slow for very many.
pub const BANDS: usize = 20_000;

/// Sheets of a file.
pub const SHEETS: usize = 1_000;

/// Columns of a sheet or of a csv file: what the widest spreadsheets have.
pub const COLUMNS: u32 = 16_384;

/// Rows of a sheet or lines of a csv file: what the longest spreadsheets have.
pub const ROWS: u32 = 1_048_576;

/// Entries of the tables that cells point into, such as the formats of a workbook.
pub const TABLE_ENTRIES: usize = 100_000;
