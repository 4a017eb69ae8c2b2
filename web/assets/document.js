// Puts a document of the engine on the page: its verdict, its sections, and what stands in them.
// The texts come worded, rounded and in the reader's units; here they only get their places.
import { button, h } from "./dom.js";
import { Chart } from "./charts.js";
import { caution, fold } from "./parts.js";

const lineStyles = [{ colour: "--left", width: 4 }, { colour: "--right", dash: [9, 6], width: 3 }, { colour: "--ink", width: 2 }];

/** verdict shows the first lines of a document: what to do, what it gains, what stops it. */
export function verdict(doc) {
  const sides = doc.sides ? h("p", { class: "sides", text: `On the ${doc.axle} axle ${doc.sides}.` }) : null;
  return h("div", { class: "verdict" }, sides, doc.verdict.map((line) => h("p", { class: `line severity-${line.severity}` }, severity(line), h("span", {}, worded(line)))));
}

// worded gives a sentence as nodes in which no figure is torn from its unit.
function worded({ text, figures }) {
  const nodes = [];
  let rest = text;
  for (const { text: figure } of figures ?? []) {
    const at = rest.indexOf(figure);
    if (at < 0 || !/\d/.test(figure)) continue;
    nodes.push(rest.slice(0, at), h("span", { class: "unbroken", text: figure }));
    rest = rest.slice(at + figure.length);
  }
  return [...nodes, rest];
}

/**
 * severity shows how bad something is, in a shape and in words; nothing for what is plain or fine.
 */
function severity(of) {
  if (of.severity === "plain" || !of.severity_words) return null;
  return h("strong", { class: "severity" }, h("span", { class: "sign", "aria-hidden": "true" }), `${of.severity_words}: `);
}

// mark shows how bad a row of a table is; its words are for who does not see the shape.
function mark(row) {
  if (!row.severity_words) return null;
  return h("span", { class: "row-mark" }, h("span", { class: "sign", "aria-hidden": "true", title: row.severity_words }), h("span", { class: "away", text: `${row.severity_words}: ` }));
}

/**
 * sections shows the sections of a document. Options: only, a list of their keys; open, whether
 * details are shown unfolded; more, what a key of a section gets below its blocks; attempt, what
 * tries a finding; work, what a step gets below it; charts, where made charts are collected, to be
 * stopped: a list, or a map by their tables' keys, which are shown again as they are.
 */
export function sections(doc, options = {}) {
  const { only, open, more = {} } = options;
  return doc.sections.filter((one) => !only || only.includes(one.key)).map((one) => {
    const content = [...one.blocks.flatMap((block) => blockNodes(block, { ...options, title: one.title })), ...[more[one.key] ?? []].flat()];
    if (one.detail && !open) return h("div", { data: { section: one.key } }, fold(one.title, content));
    const head = one.title ? h("h2", { tabindex: "-1", text: one.title }) : null;
    // A chart that is named as its section needs no second heading.
    if (content[0]?.matches?.(".chart") && content[0].querySelector("h2")?.textContent === one.title) content[0].querySelector("h2").remove();
    return h("section", { data: { section: one.key } }, head, content);
  });
}

/** figureList shows figures below one another. */
export const figureList = (figures) => h("dl", { class: "figures" }, figures.map((f) => h("div", { class: "figure", data: f.key ? { figure: f.key } : {} },
  h("dt", { text: capital(f.words ?? "") }), h("dd", {}, h("strong", { text: f.text }), f.note ? h("span", { class: "note", text: f.note }) : null))));

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function blockNodes(block, options) {
  switch (block.type) {
    case "text": return [h("p", { class: "sentence" }, worded(block.sentence))];
    case "figures": return [figureList(block.figures)];
    case "table": return tableNodes(block, options);
    case "bars": return [bars(block.bars)];
    case "steps": return [h("ol", { class: "steps" }, block.steps.map((step) => stepNode(step, options)))];
    case "findings": return [h("ol", { class: "findings" }, block.findings.map((one) => findingNode(one, options)))];
    case "notes": return [h("ul", { class: "notes-list" }, block.notes.map((one) => h("li", { class: `severity-${one.severity}` }, severity(one), worded(one.problem), one.remedy.text ? [" ", worded(one.remedy)] : null)))];
    case "cautions": return [caution(...block.cautions)];
    default: return [];
  }
}

function bars(all) {
  return h("ul", { class: "bars" }, all.map((one) => {
    const part = Math.max(0, one.part.value ?? 0) / (one.part.unit === "%" ? 100 : 1);
    const fill = h("span", { class: "bar-fill" });
    fill.style.width = `${100 * Math.min(1, part)}%`;
    return h("li", { class: `severity-${one.severity}` }, h("span", { class: "bar-words", text: capital(one.words.text) }),
      h("span", { class: part > 1 ? "bar-box past" : "bar-box", "aria-hidden": "true" }, fill), h("span", { class: "bar-text", text: one.part.text }));
  }));
}

function tableNodes(table, options) {
  const nodes = [];
  for (const one of table.plot ? [table.plot, ...(table.more_plots ?? [])] : []) {
    const kept = options.charts instanceof Map ? options.charts.get(table.key) : null;
    const chart = kept ?? plot(table, one, options.title);
    if (options.charts instanceof Map) options.charts.set(table.key, chart);
    else options.charts?.push(chart);
    chart.show(...plotted(table, one));
    nodes.push(chart.node);
  }
  const rows = table.plot && table.shown ? table.shown.map((i) => table.rows[i]) : table.rows;
  const grid = h("div", { class: "table-box", tabindex: "0", role: "group", "aria-label": table.columns.map((c) => c.head).join(", ") }, h("table", { data: { table: table.key } },
    h("thead", {}, h("tr", {}, table.columns.map((c) => h("th", { scope: "col", text: c.head })))),
    h("tbody", {}, rows.map((row) => h("tr", { class: `severity-${row.severity}` }, row.cells.map((cell, i) => (i ? h("td", { class: alone(cell) ? "figure-alone" : "" }, worded(cell)) : h("th", { class: alone(cell) ? "figure-alone" : "", scope: "row" }, mark(row), worded(cell)))))))));
  const means = table.columns.filter((c) => c.means).map((c) => h("p", { class: "quiet", text: `${c.head}: ${c.means}.` }));
  // Where there is a chart, the table is for who wants its figures.
  nodes.push(...(table.plot ? [fold("As figures", grid, means)] : [grid, ...means]));
  return nodes;
}

// alone tells whether a cell is figures and signs between them, which are not broken into lines.
const alone = ({ text, figures }) => Boolean(figures) && figures.every((f) => /\d/.test(f.text)) && !/\p{L}/u.test(figures.reduce((rest, f) => rest.replace(f.text, ""), text));

const valueOf = (cell) => cell.figures?.[0]?.value ?? null;

const columnsOf = (table, what) => {
  const at = (key) => table.columns.findIndex((c) => c.key === key);
  return { across: at(what.across), lines: what.lines.map(at) };
};

// inUnit says what a chart's values are in; what is "° a degree" is said by what it is about.
const inUnit = (unit) => (unit === "°" ? "In degrees." : unit && !unit.startsWith("°") ? `In ${unit}.` : "");

// plot makes the chart for columns of a table.
function plot(table, what, label) {
  const { across, lines } = columnsOf(table, what);
  const [minus, plus] = table.columns[across].ways ?? ["", ""];
  const { times = 1, unit_shown: unit = "", ways: sided } = table.columns[lines[0]];
  const letter = (ways, v) => (ways ? ` ${(v > 0 ? ways[1] : ways[0]).charAt(0).toUpperCase()}` : "");
  const tick = (ways) => (v) => (Math.abs(v) < 1e-9 ? "0" : ways ? `${short(Math.abs(v))}${letter(ways, v)}` : short(v));
  const marks = (what.marks ?? []).map((m) => ({ y: m.at.value * times, words: m.words }));
  return new Chart({
    title: what.title, label, about: [what.about, inUnit(unit)].filter(Boolean).join(" "), mirror: plus === "left",
    x: { words: table.columns[across].head, tick: tick(minus ? [minus, plus] : null) },
    y: { tick: tick(sided) }, least: 1e-3,
    lines: marks,
    series: lines.map((i, k) => ({ words: table.columns[i].head, ...lineStyles[k % lineStyles.length] })),
  });
}

// plotted is what a chart shows of a table: where the points are across, the lines, their bands,
// and the texts.
function plotted(table, what) {
  const { across, lines } = columnsOf(table, what);
  const column = (i) => table.rows.map((row) => { const v = valueOf(row.cells[i]); return v === null ? null : v * (table.columns[i].times ?? 1); });
  const band = (i) => table.rows.map((row) => (row.cells[i].figures?.[0]?.uncertain ?? 0) * (table.columns[i].times ?? 1));
  const order = table.rows.map((_, i) => i);
  const x = column(across);
  order.sort((a, b) => x[a] - x[b]);
  const sorted = (list) => order.map((i) => list[i]);
  const bands = lines.map(band).map((one) => (one.some((v) => v > 0) ? sorted(one) : null));
  return [sorted(x), lines.map((i) => sorted(column(i))), bands, {
    x: sorted(table.rows.map((row) => row.cells[across].text)), series: lines.map((i) => sorted(table.rows.map((row) => row.cells[i].text))),
  }];
}

const short = (v) => String(Math.round(v * 1000) / 1000);

function stepNode(step, { work }) {
  return h("li", { class: step.leave ? "step leave" : "step", data: { step: step.key } },
    h("div", { class: "step-head" }, h("h2", { text: step.title }), step.do.text ? h("p", { class: "value", text: step.do.text }) : null),
    (step.why ?? []).map((one) => h("p", { class: "reason", text: one.text })),
    step.detail?.length ? fold("More", step.detail.map((one) => h("p", { class: "reason", text: one.text }))) : null,
    step.caution ? caution(step.caution) : null, work?.(step));
}

// findingNode shows a finding: one that asks for nothing is a line, what is behind it folded. The
// words of its severity are left out where the section's title says them.
function findingNode(one, { attempt, title }) {
  const { change } = one;
  const tried = change && attempt && (change.set?.length || change.try);
  const sign = h("span", { class: "sign", "aria-hidden": "true" }), headline = h("span", { class: "headline", text: one.headline.text });
  const words = one.severity_words && one.severity_words !== title ? h("strong", { text: `${one.severity_words}: ` }) : null;
  const item = (...content) => h("li", { class: `finding severity-${one.severity}`, data: { finding: one.key } }, content);
  if (["fine", "too-close"].includes(one.severity)) {
    if (!one.text.text) return item(h("p", { class: "finding-head" }, sign, words, headline));
    return item(h("details", {}, h("summary", { class: "finding-head" }, sign, words, headline), h("p", { class: "sentence", text: one.text.text })));
  }
  return item(h("p", { class: "finding-head" }, sign, h("span", {}, words, headline)),
    change ? h("p", { class: "do" }, h("strong", { text: capital(change.do.text) }),
      change.before.words ? h("span", { class: "before-after" }, `${capital(change.before.words)}: ${change.before.text} → `, h("strong", { text: change.after.text })) : null) : null,
    one.text.text ? h("p", { class: "sentence", text: one.text.text }) : null,
    tried ? h("div", { class: "row" }, button("Try it", () => attempt(one), { "aria-label": `Try it: ${change.do.text}` })) : null);
}
