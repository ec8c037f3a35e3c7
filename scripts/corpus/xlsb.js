// Writes a workbook as .xlsb: sheets as JSON on standard input, the file's path as argument.
const xlsx = require("xlsx");
const sheets = JSON.parse(require("fs").readFileSync(0, "utf8"));
const book = xlsx.utils.book_new();
for (const { name, lines, merged, comments } of sheets) {
  const page = xlsx.utils.aoa_to_sheet(lines.map((line) => line.map((v) => (v === "" ? null : v))));
  page["!merges"] = merged.map(([r, first, last]) => ({ s: { r, c: first }, e: { r, c: last } }));
  for (const [r, c, t] of comments) page[xlsx.utils.encode_cell({ r, c })].c = [{ a: "Thornsay", t }];
  xlsx.utils.book_append_sheet(book, page, name);
}
xlsx.writeFile(book, process.argv[2], { bookType: "xlsb" });
