"use strict";
// Sorts, groups and filters what stands on the page. Without it the page says the same, worst first.
(() => {
  const table = document.getElementById("finding-table");
  if (!table) return;

  // Headings become buttons: once for up, once more for down, a third time for the order of the page.
  const orders = ["ascending", "descending", "none"];
  const headings = (of, names, sort) => {
    const all = [...of.querySelectorAll("thead th")].filter((heading) => heading.dataset[names]);
    for (const heading of all) {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...heading.childNodes);
      heading.append(button);
      heading.setAttribute("aria-sort", "none");
      button.addEventListener("click", () => {
        const order = orders[(orders.indexOf(heading.getAttribute("aria-sort")) + 1) % orders.length];
        for (const other of all) other.setAttribute("aria-sort", other === heading ? order : "none");
        sort(heading, order);
      });
    }
  };
  const words = new Intl.Collator(document.documentElement.lang, { numeric: true });

  // The tables of problems and of files.
  for (const overview of document.querySelectorAll("table.sorted")) {
    const body = overview.tBodies[0];
    const rows = [...body.rows];
    headings(overview, "sort", (heading, order) => {
      const cell = (row) => row.cells[heading.cellIndex];
      const compare = heading.dataset.sort === "number"
        ? (one, two) => cell(one).dataset.value - cell(two).dataset.value
        : (one, two) => words.compare(cell(one).textContent, cell(two).textContent);
      const way = order === "descending" ? -1 : 1;
      body.append(...(order === "none" ? rows : rows.toSorted((one, two) => way * compare(one, two))));
    });
  }

  // The findings, in the order of the page.
  const weight = { error: 0, warning: 1, note: 2 };
  const number = (text) => (text ? Number(text) : Infinity);
  const rows = [...table.querySelectorAll("tr.finding")].map((element, order) => {
    const { code, severity } = element.parentElement.dataset;
    const { file, at } = element.dataset;
    return { element, order, code, severity, file: Number(file), at: Number(at), text: null };
  });
  const compare = {
    problem: (one, two) => weight[one.severity] - weight[two.severity] || words.compare(one.code, two.code) || one.order - two.order,
    place: (one, two) => one.file - two.file || one.at - two.at,
    row: (one, two) => one.row - two.row || one.file - two.file || one.at - two.at,
    message: (one, two) => words.compare(one.message, two.message) || one.order - two.order,
  };
  const worst = (one, two) => weight[one.severity] - weight[two.severity] || one.at - two.at;
  const told = {
    row: (row) => { row.row ??= number(row.element.cells[2].textContent.replace(/\D+/g, "")); },
    message: (row) => { row.message ??= row.element.cells[3].firstChild.textContent; },
  };

  // The groups: the page's own by problem; by file, named as in the table of files; or all in one.
  const byProblem = new Map([...table.tBodies].map((body) => [body.dataset.code, body]));
  let byFile = null;
  const byNothing = document.createElement("tbody");
  byNothing.setAttribute("role", "rowgroup");
  const fileGroups = () => new Map([...document.querySelectorAll("#file-table tbody tr")].map((row) => {
    const body = document.createElement("tbody");
    body.setAttribute("role", "rowgroup");
    const heading = byProblem.values().next().value.rows[0].cloneNode(true);
    const count = heading.querySelector(".count");
    const name = [...row.cells[0].childNodes].map((node) => node.cloneNode(true));
    heading.cells[0].replaceChildren(...name, " ", count);
    body.append(heading);
    return [Number(row.dataset.file), body];
  }));
  const groups = {
    problem: { of: (row) => byProblem.get(row.code), all: () => [...byProblem.values()] },
    file: { of: (row) => byFile.get(row.file), all: () => [...(byFile ??= fileGroups()).values()] },
    none: { of: () => byNothing, all: () => [byNothing] },
  };

  const field = (name) => document.getElementById(name);
  const choice = field("choice");
  const status = field("shown");
  const thousands = new Intl.NumberFormat("en");
  let sorted = rows;
  let bodies = [];

  const arrange = () => {
    const { of, all } = groups[field("group").value];
    bodies = all().map((body) => ({ body, heading: body.querySelector("tr.group"), rows: [] }));
    const places = new Map(bodies.map((group) => [group.body, group]));
    // Not sorted by anything, a file's findings stand as the call found them, the worst first.
    const inFile = field("group").value === "file" && sorted === rows;
    for (const row of inFile ? rows.toSorted(worst) : sorted) places.get(of(row)).rows.push(row);
    for (const { body, heading, rows } of bodies) {
      body.replaceChildren(...(heading ? [heading] : []), ...rows.map((row) => row.element));
    }
    for (const body of [...table.tBodies]) if (!places.has(body)) body.remove();
    if (bodies.some(({ body }) => body.parentElement !== table)) table.append(...bodies.map(({ body }) => body));
  };

  const counted = (shown, all) => {
    const noun = all === 1 ? "finding" : "findings";
    return shown === all ? `${thousands.format(all)} ${noun}` : `${thousands.format(shown)} of ${thousands.format(all)} ${noun}`;
  };

  const filter = () => {
    const severity = field("severity").value;
    const code = field("problem").value;
    const asked = field("words").value.toLowerCase().split(/\s+/).filter(Boolean);
    let total = 0;
    for (const group of bodies) {
      let shown = 0;
      for (const row of group.rows) {
        let fits = (!severity || row.severity === severity) && (!code || row.code === code);
        if (fits && asked.length) {
          row.text ??= row.element.textContent.toLowerCase();
          fits = asked.every((word) => row.text.includes(word));
        }
        if (row.element.hidden === fits) row.element.hidden = !fits;
        if (fits) shown += 1;
      }
      total += shown;
      if (group.body.hidden !== (shown === 0)) group.body.hidden = shown === 0;
      if (group.heading) group.heading.querySelector(".count").textContent = counted(shown, group.rows.length);
    }
    status.textContent = `${counted(total, rows.length)}.`;
  };

  headings(table, "key", (heading, order) => {
    const { key } = heading.dataset;
    if (told[key]) rows.forEach(told[key]);
    const way = order === "descending" ? -1 : 1;
    sorted = order === "none" ? rows : rows.toSorted((one, two) => way * compare[key](one, two));
    arrange();
    filter();
  });

  let waiting = 0;
  const soon = () => {
    clearTimeout(waiting);
    waiting = setTimeout(filter, 120);
  };
  const all = () => {
    field("words").value = field("severity").value = field("problem").value = "";
    filter();
  };
  choice.hidden = false;
  choice.addEventListener("input", (event) => {
    if (event.target.id === "words") return soon();
    if (event.target.id === "group") arrange();
    filter();
  });
  field("all").addEventListener("click", all);

  // A link to what is not shown shows it.
  const follow = () => {
    const name = decodeURIComponent(location.hash.slice(1));
    if (!name.startsWith("group-") && !name.startsWith("at-")) return;
    const there = document.getElementById(name);
    if (there && !there.closest("[hidden]")) return;
    if (!there) {
      field("group").value = "problem";
      arrange();
    }
    all();
    document.getElementById(name)?.scrollIntoView();
  };
  addEventListener("hashchange", follow);

  arrange();
  // A browser keeps what was chosen when a page is loaded anew.
  filter();
  follow();
})();
