// Charts on the plotting library: colours of the page, values under pointer and finger.
import { h } from "./dom.js";

const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

/**
 * Chart is one chart. spec: {title, label, about, mirror, x: {words, tick}, y: {tick}, least,
 * lines: [{y, words}], series: [{words, colour: "--left", dash, width}]}; bands belong to series.
 * Without a title it has the label for who does not see it.
 */
export class Chart {
  constructor(spec) {
    this.spec = spec;
    this.box = h("div", { class: "chart-box", tabindex: "0", role: "img" });
    this.said = h("p", { class: "chart-said" });
    this.keys = h("ul", { class: "keys" }, spec.series.map((one) => h("li", {}, sample(one), h("span", { text: one.words }))));
    this.node = h("section", { class: "chart" }, spec.title ? h("h2", { text: spec.title }) : null, spec.about ? h("p", { class: "quiet", text: spec.about }) : null,
      this.keys, this.box, this.said);
    this.box.addEventListener("keydown", (e) => {
      const by = { ArrowLeft: -1, ArrowRight: 1, PageUp: 10, PageDown: -10, Home: -1e6, End: 1e6 }[e.key];
      if (!by || !this.plot) return;
      e.preventDefault();
      const last = this.plot.data[0].length - 1;
      this.at = Math.max(0, Math.min(last, (this.at ?? Math.floor(last / 2)) + (this.spec.mirror && Math.abs(by) < 1e6 ? -by : by)));
      this.#point(this.at);
    });
    const sized = new ResizeObserver(([entry]) => {
      const width = Math.floor(entry.contentRect.width);
      if (width < 50) return;
      this.size = { width, height: Math.round(Math.min(340, Math.max(210, width * 0.5))) };
      if (this.plot) this.plot.setSize(this.size);
      else if (this.data) this.#make();
    });
    sized.observe(this.box);
    this.relight = () => this.plot?.redraw(false);
    addEventListener("lightchange", this.relight);
    this.media = matchMedia("(prefers-color-scheme: dark)");
    this.media.addEventListener("change", this.relight);
    this.stop = () => { sized.disconnect(); this.plot?.destroy(); removeEventListener("lightchange", this.relight); this.media.removeEventListener("change", this.relight); };
  }

  /**
   * show gives the chart its x values, series, and half-widths of bands (null where there is none).
   * texts are the same values in words, {x, series}, null while it moves along.
   */
  show(x, series, bands, texts = null) {
    this.values = { x, series, bands, texts };
    const data = [x, ...series];
    // A band is two series that only bound a filled space.
    series.forEach((values, i) => {
      const band = bands?.[i];
      for (const sign of [1, -1]) data.push(values.map((v, j) => (v === null || !band || band[j] === null ? null : v + sign * band[j])));
    });
    this.data = data;
    if (this.plot) this.plot.setData(data);
    else if (this.size) this.#make();
    this.box.setAttribute("aria-label", `${this.spec.title || this.spec.label}. Arrow keys give the values.`);
  }

  #make() {
    const { spec } = this;
    const n = spec.series.length;
    const colour = (name) => () => css(name);
    const axis = { stroke: colour("--ink"), font: "14px system-ui, sans-serif", grid: { stroke: colour("--grid"), width: 1 }, ticks: { stroke: colour("--grid"), width: 1 } };
    this.plot = new globalThis.uPlot({
      ...this.size,
      legend: { show: false },
      cursor: { y: false, drag: { x: false, y: false }, points: { size: 9 } },
      scales: { x: { time: false, dir: spec.mirror ? -1 : 1 }, y: { range: (_, low, high) => spread(low, high, spec) } },
      axes: [
        { ...axis, values: (_, v) => v.map(spec.x.tick), size: 34, space: 54 },
        { ...axis, size: 56, values: (_, v) => v.map(spec.y.tick) },
      ],
      series: [
        {},
        ...spec.series.map((one) => ({ stroke: colour(one.colour), width: one.width ?? 3, dash: one.dash, points: { show: false } })),
        ...spec.series.flatMap(() => [0, 1].map(() => ({ stroke: "transparent", width: 0, points: { show: false } }))),
      ],
      bands: spec.series.map((one, i) => ({ series: [n + 1 + 2 * i, n + 2 + 2 * i], fill: colour(`${one.colour}-band`) })),
      hooks: {
        setCursor: [(u) => this.#read(u.cursor.idx)],
        draw: spec.lines ? [(u) => this.#lines(u)] : [],
      },
    }, this.data, this.box);
  }

  #lines(u) {
    const c = u.ctx;
    c.save();
    c.strokeStyle = css("--ink");
    c.fillStyle = css("--ink");
    c.lineWidth = devicePixelRatio;
    c.setLineDash([2 * devicePixelRatio, 4 * devicePixelRatio]);
    c.textAlign = "left";
    c.textBaseline = "bottom";
    c.font = `600 ${13 * devicePixelRatio}px system-ui, sans-serif`;
    for (const { y, words } of this.spec.lines) {
      const [low, high] = [u.scales.y.min, u.scales.y.max];
      if (y < low || y > high) continue;
      const at = u.valToPos(y, "y", true);
      c.beginPath();
      c.moveTo(u.bbox.left, at);
      c.lineTo(u.bbox.left + u.bbox.width, at);
      c.stroke();
      if (words) c.fillText(words, u.bbox.left + 6 * devicePixelRatio, at - 2 * devicePixelRatio);
    }
    c.restore();
  }

  #point(i) {
    this.plot.setCursor({ left: this.plot.valToPos(this.data[0][i], "x"), top: 10 });
    this.#read(i);
    this.said.setAttribute("role", "status");
  }

  #read(i) {
    if (i === null || i === undefined) { this.said.textContent = "Point at the chart to read it."; return; }
    this.at = i;
    const { x, series } = this.spec, { texts } = this.values;
    if (!texts) return;
    const across = x.words.charAt(0).toUpperCase() + x.words.slice(1);
    this.said.textContent = `${across} ${texts.x[i]}: ${series.map((one, k) => `${one.words} ${texts.series[k][i]}`).join("; ")}`;
  }
}

// spread is how much of the values' axis is shown: all values, and what is marked.
function spread(low, high, { lines = [], least = 1e-3 }) {
  if (low === null || low === undefined) return [0, 1];
  low = Math.min(low, ...lines.map((one) => one.y));
  high = Math.max(high, ...lines.map((one) => one.y));
  const room = Math.max((high - low) * 0.06, least);
  return [low - room, high + room];
}

// sample is a bit of the line, so that a series is known by dash as well as by colour.
function sample(one) {
  const node = h("span", { class: "sample", "aria-hidden": "true" });
  node.style.borderTopColor = `var(${one.colour})`;
  node.style.borderTopStyle = one.dash ? "dashed" : "solid";
  node.style.borderTopWidth = `${Math.max(3, one.width ?? 3)}px`;
  return node;
}
