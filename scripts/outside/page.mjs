// Checks the web pages that longhand writes, reports and comparisons, in Chromium and with general validators.
//
//     node scripts/outside/page.mjs
//
// The program is target/debug/longhand, or what LONGHAND names; the packages of package.json stand in
// target/outside/node, and the browser is `chromium`, or what CHROMIUM names. Two archives are made: a small one whose
// names and cells try to be markup, and one with 10,000 findings. Proved of their pages: they are valid HTML; axe-core
// finds nothing in light and dark, wide and at 320 px; nothing of the archive runs as a script; every link to a file
// leads to it; filtering, sorting and grouping work by keyboard alone; without scripts everything is there; and 10,000
// findings are filtered quickly. The pages of comparisons, of files and of folders, are valid, accessible and harmless too.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const ROOT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const from = createRequire(path.join(ROOT, "target/outside/node/package.json"));
const { chromium } = from("playwright-core");
const { HtmlValidate } = from("html-validate");
const AXE = fs.readFileSync(from.resolve("axe-core/axe.min.js"), "utf8");
const PROGRAM = process.env.LONGHAND ?? path.join(ROOT, "target/debug/longhand");

// What the page must answer within, in milliseconds: far above what it takes, for machines that are busy.
const LIMIT = 3000;

function report(folder) {
  const told = spawnSync(PROGRAM, ["check", "archive", "--quiet", "--report", "report/all & more.html"], { cwd: folder, stdio: "ignore" });
  assert.equal(told.status, 1);
  return path.join(folder, "report/all & more.html");
}

// Names and cells that would be markup, scripts or addresses if anything were left as it is.
function smallArchive(folder) {
  const names = [
    "scarf.csv", "a & <b>.csv", "\"double\" 'single'.csv", "100% #1?.csv", "javascript:alert(1).csv", "scarf\u202evsc.csv",
    "line\nend.csv", "<script>hit = 1.csv", Buffer.from([0x6d, 0xfc, 0x74, 0x7a, 0x65, 0x2e, 0x63, 0x73, 0x76]),
  ];
  const archive = path.join(folder, "archive");
  fs.mkdirSync(path.join(archive, "deep er"), { recursive: true });
  const rows = [
    "<img src=x onerror=hit=1>", "", ",k,p2tog,k,k,k,3", "2,k,k,k,k,k,", ",k,yo,k2tog,k,</script><script>hit=1</script>,1", "",
    "o,<b>nothing</b>", "",
  ];
  for (const name of names) {
    const below = Buffer.concat([Buffer.from(archive + "/"), Buffer.from(name)]);
    fs.writeFileSync(below, rows.join("\n"));
  }
  fs.writeFileSync(path.join(archive, "deep er", "wrong.csv"), "Wrong\n\n,p,p2tog,p,p,p,3\n2,k,k,k,k,k,\n,k,yo,k2tog,k,k,1\n");
  fs.writeFileSync(path.join(archive, "deep er", "sound.csv"), "Sound\n\n.,.,1\n\n.,k\n");
  return report(folder);
}

// A hundred charts, each with a hundred symbols that nobody explains.
function largeArchive(folder) {
  const archive = path.join(folder, "archive");
  fs.mkdirSync(archive, { recursive: true });
  for (let chart = 0; chart < 100; chart += 1) {
    const rows = [];
    for (let row = 10; row > 0; row -= 1) {
      const cells = Array.from({ length: 10 }, (_, cell) => `q${row}${"abcdefghij"[cell]}`);
      rows.push(row % 2 === 0 ? `${row},${cells.join(",")},` : `,${cells.join(",")},${row}`);
    }
    fs.writeFileSync(path.join(archive, `chart ${String(chart).padStart(3, "0")}.csv`), ["Chart", "", ...rows, "", "z,knit", ""].join("\n"));
  }
  return report(folder);
}

// Two charts whose titles and stitches would be markup, a row more in the one, on a page.
function comparison(folder) {
  fs.mkdirSync(folder, { recursive: true });
  const chart = (stitch, more) => ["<img src=x onerror=hit=1>", "", ...more, `,k,yo,${stitch},k,k,1`, "", "o,</script><script>hit=1</script>", ""];
  fs.writeFileSync(path.join(folder, "a & <b>.csv"), chart("k2tog", [",p,p,p,p,p,3", "2,k,k,k,k,k,"]).join("\n"));
  fs.writeFileSync(path.join(folder, "<script>hit = 1.csv"), chart("ssk", ["2,k,k,k,k,k,"]).join("\n"));
  const told = spawnSync(PROGRAM, ["compare", "a & <b>.csv", "<script>hit = 1.csv", "--to", "html"], { cwd: folder });
  assert.equal(told.status, 1);
  fs.writeFileSync(path.join(folder, "page.html"), told.stdout);
  return path.join(folder, "page.html");
}

async function compared(browser, file) {
  const page = await opened(browser, file, { javaScriptEnabled: true });
  assert.equal(await page.evaluate(() => typeof hit), "undefined");
  assert.equal(await page.locator("img, iframe, script, a, link").count(), 0);
  assert.equal(await page.locator("tbody tr").count(), 4, "what stands before the rows, and three rows");
  assert.equal(await page.locator("tr.differs mark").allTextContents().then((all) => all.join(" ")), "[k2tog] [ssk] [p5]");
  await closed(page);
}

// Two folders whose names would be markup: a chart that differs in them, one that is alone, and one that is the same.
function comparedFolders(folder) {
  const [left, right] = ["<b>left</b>", "right \"& co"];
  const chart = (stitch) => ["<img src=x onerror=hit=1>", "", `,k,yo,${stitch},k,k,1`, "", "o,</script><script>hit=1</script>", ""].join("\n");
  for (const [side, stitch] of [[left, "k2tog"], [right, "ssk"]]) {
    fs.mkdirSync(path.join(folder, side), { recursive: true });
    fs.writeFileSync(path.join(folder, side, "a & <b>.csv"), chart(stitch));
    fs.writeFileSync(path.join(folder, side, "same.csv"), chart("k2tog"));
  }
  fs.writeFileSync(path.join(folder, left, "<script>hit = 1.csv"), chart("ssk"));
  const told = spawnSync(PROGRAM, ["compare", left, right, "--to", "html"], { cwd: folder });
  assert.equal(told.status, 1);
  fs.writeFileSync(path.join(folder, "page.html"), told.stdout);
  return path.join(folder, "page.html");
}

async function overview(browser, file) {
  const page = await opened(browser, file, { javaScriptEnabled: true });
  assert.equal(await page.evaluate(() => typeof hit), "undefined");
  assert.equal(await page.locator("img, iframe, script, link, main b").count(), 0);
  const words = await page.locator(".overview tbody th").allTextContents();
  assert.deepEqual(words, ["Different", "Alone", "Same stitches"]);
  const links = await page.locator("a").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
  assert.equal(links.length, 2, "one for each that is to be looked at");
  for (const link of links) assert.equal(await page.locator(`section[id="${link.slice(1)}"]`).count(), 1, link);
  assert.equal(await page.locator("tr.differs mark").allTextContents().then((all) => all.join(" ")), "[k2tog] [ssk]");
  await closed(page);
}

async function opened(browser, file, options = {}) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.troubles = [];
  page.on("pageerror", (error) => page.troubles.push(error.message));
  page.on("console", (message) => page.troubles.push(message.text()));
  page.on("request", (request) => {
    if (!request.url().startsWith("file:")) page.troubles.push(`asked for ${request.url()}`);
  });
  await page.goto(pathToFileURL(file).href);
  return page;
}

async function closed(page) {
  assert.deepEqual(page.troubles, []);
  await page.context().close();
}

async function valid(file) {
  const validate = new HtmlValidate({
    root: true,
    extends: ["html-validate:recommended"],
    // The rows of the tables are laid out as grids; some browsers then forget what they are unless they are told.
    rules: { "no-redundant-role": "off" },
  });
  const { results } = await validate.validateFile(file);
  assert.deepEqual(results.flatMap(({ messages }) => messages).map(({ line, message }) => `${line}: ${message}`), []);
}

async function accessible(browser, file) {
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [1280, 320]) {
      const page = await opened(browser, file, { colorScheme, viewport: { width, height: 900 } });
      await page.evaluate(AXE);
      const { violations } = await page.evaluate(() => axe.run({ runOnly: [
        "wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice",
      ] }));
      const told = violations.map(({ id, nodes }) => `${id}: ${nodes[0].html}`);
      assert.deepEqual(told, [], `${colorScheme}, ${width} px`);
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "sideways scrolling");
      await closed(page);
    }
  }
}

async function harmless(browser, file) {
  const page = await opened(browser, file);
  assert.equal(await page.evaluate(() => typeof hit), "undefined");
  assert.equal(await page.locator("img, iframe, main script").count(), 0);
  const text = await page.locator("main").textContent();
  for (const shown of ["scarf[U+202E]vsc.csv", "m[byte FC]tze.csv", "line[U+000A]end.csv", "</script><script>hit=1</script>"]) {
    assert.ok(text.includes(shown), shown);
  }
  assert.ok(!/[\u202a-\u202e\u2066-\u2069]/.test(text));
  const links = await page.locator("main a").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
  const files = new Set(links.filter((link) => !link.startsWith("#")));
  assert.equal(files.size, 11, "a link for every file with a finding");
  for (const link of files) {
    const bytes = Buffer.from(new URL(link, pathToFileURL(file)).pathname.replace(/%[0-9A-F]{2}/gi, (code) => {
      return String.fromCharCode(parseInt(code.slice(1), 16));
    }), "latin1");
    assert.ok(fs.existsSync(bytes), link);
  }
  for (const link of links.filter((link) => link.startsWith("#"))) {
    assert.equal(await page.locator(`[id="${link.slice(1)}"]`).count(), 1, link);
  }
  await closed(page);
}

const shown = (page) => page.locator("#shown").innerText();
const visible = (page) => page.locator("tr.finding:visible").count();
const focused = (page) => page.evaluate(() => document.activeElement.id || document.activeElement.textContent.trim());

async function byKeyboard(browser, file) {
  const page = await opened(browser, file);
  const press = async (...keys) => { for (const key of keys) await page.keyboard.press(key); };
  const all = await visible(page);
  await press("Tab");
  assert.equal(await focused(page), "Skip to the findings");
  await press("Enter", "Tab");
  assert.equal(await focused(page), "words");
  await page.keyboard.type("wrong.csv");
  await page.waitForFunction(() => document.getElementById("shown").textContent.includes(" of "));
  const found = await visible(page);
  assert.ok(found > 0 && found < all);
  assert.equal(await shown(page), `${found} of ${all} findings.`);
  await press("Tab", "ArrowDown");
  assert.equal(await page.locator("#severity").inputValue(), "error");
  assert.equal(await visible(page), 1);
  await press("Tab", "Tab", "Tab");
  assert.equal(await focused(page), "all");
  await press("Enter");
  await page.waitForFunction((all) => document.getElementById("shown").textContent === `${all} findings.`, all);
  assert.equal(await page.locator("#words").inputValue(), "");

  // Grouped by file: a group for each, named by it.
  await press("Shift+Tab", "ArrowDown");
  assert.equal(await page.locator("#finding-table tr.group:visible").count(), 11);
  // Not the inner text: rows that the browser has not yet looked whether to draw (content-visibility) have none.
  const first = await page.locator("#finding-table tbody").first().locator("td b").allTextContents();
  assert.equal(first[0], "error", "the worst first");
  await press("ArrowDown");
  assert.equal(await page.locator("#finding-table tr.group:visible").count(), 0);
  assert.equal(await visible(page), all);

  // Sorted by row, up and down, and back.
  await press("Tab", "Tab", "Tab", "Tab");
  assert.equal(await focused(page), "Row");
  const rows = () => page.locator("tr.finding td.row").evaluateAll((cells) => cells.map((cell) => parseInt(cell.textContent.replace(/\D/g, ""), 10)).filter(Boolean));
  const inOrder = (numbers) => numbers.every((number, index) => index === 0 || numbers[index - 1] <= number);
  await press("Enter");
  assert.equal(await page.locator("th[data-key=row]").getAttribute("aria-sort"), "ascending");
  assert.ok(inOrder(await rows()));
  await press("Space");
  assert.equal(await page.locator("th[data-key=row]").getAttribute("aria-sort"), "descending");
  assert.ok(inOrder((await rows()).reverse()));
  await press("Space");
  assert.equal(await page.locator("th[data-key=row]").getAttribute("aria-sort"), "none");

  // A link to a finding that is filtered away shows it.
  await page.locator("#severity").selectOption("note");
  await page.locator("#file-table a[href^='#at-count-mismatch']").first().press("Enter");
  await page.waitForFunction((all) => document.getElementById("shown").textContent === `${all} findings.`, all);
  await closed(page);
}

async function withoutScript(browser, file) {
  const page = await opened(browser, file, { javaScriptEnabled: false });
  assert.ok(await page.locator("tr.finding:visible").count() > 0);
  assert.ok(await page.locator("#choice").isHidden());
  assert.equal(await page.locator("th button").count(), 0);
  await closed(page);
}

async function large(browser, file) {
  const began = Date.now();
  const page = await opened(browser, file);
  const opening = Date.now() - began;
  assert.match(await shown(page), /^1[01],\d\d\d findings\.$/);
  const time = (what) => page.evaluate(async ([what]) => {
    const field = (name) => document.getElementById(name);
    const said = (name, value) => {
      field(name).value = value;
      field(name).dispatchEvent(new Event("input", { bubbles: true }));
    };
    const acts = {
      words: () => said("words", "042.csv \"q7d\""),
      severity: () => said("severity", "error"),
      reset: () => said("severity", ""),
      group: () => said("group", "file"),
      sort: () => document.querySelector("th[data-key=message] button").click(),
    };
    const changed = what === "words" ? new Promise((done) => new MutationObserver(done).observe(field("shown"), { childList: true })) : null;
    const start = performance.now();
    acts[what]();
    await changed;
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    return Math.round(performance.now() - start);
  }, [what]);
  const times = {};
  for (const what of ["severity", "reset", "group", "sort", "words"]) {
    times[what] = await time(what);
    assert.ok(times[what] < LIMIT, `${what}: ${times[what]} ms`);
  }
  assert.equal(await visible(page), 1);
  const told = Object.entries(times).map(([what, ms]) => `${what} ${ms} ms`).join(", ");
  const size = (fs.statSync(file).size / 1e6).toFixed(1);
  console.log(`a page of 10,000 findings, ${size} MB: open ${opening} ms, ${told}`);
  await closed(page);
}

const folder = fs.mkdtempSync(path.join(os.tmpdir(), "longhand-page-"));
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
try {
  const small = smallArchive(path.join(folder, "small"));
  await valid(small);
  await accessible(browser, small);
  await harmless(browser, small);
  await byKeyboard(browser, small);
  await withoutScript(browser, small);
  const page = comparison(path.join(folder, "comparison"));
  await valid(page);
  await accessible(browser, page);
  await compared(browser, page);
  const folders = comparedFolders(path.join(folder, "folders"));
  await valid(folders);
  await accessible(browser, folders);
  await overview(browser, folders);
  await large(browser, largeArchive(path.join(folder, "large")));
} finally {
  await browser.close();
  fs.rmSync(folder, { recursive: true, force: true });
}
console.log("the pages of reports and of comparisons are well");
