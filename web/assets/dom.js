// Small helpers to make nodes. Texts go in as text content, never as markup, so
// that nothing a person or a file says can become part of the page's code.

/** h makes an HTML element. Props: class, text, on: {event: f}, data: {}, other attributes. */
export function h(tag, props = {}, ...children) {
  return dress(document.createElement(tag), props, children);
}

/** s makes an SVG element. */
export function s(tag, props = {}, ...children) {
  return dress(document.createElementNS("http://www.w3.org/2000/svg", tag), props, children);
}

function dress(node, props, children) {
  for (const [key, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (key === "on") for (const [event, f] of Object.entries(value)) node.addEventListener(event, f);
    else if (key === "text") node.textContent = value;
    else if (key === "data") Object.assign(node.dataset, value);
    else if (key === "value") node.value = value;
    else node.setAttribute(key, value === true ? "" : value);
  }
  node.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return node;
}

/** button makes a button with a verb on it. */
export function button(label, act, props = {}) {
  return h("button", { type: "button", ...props, on: { click: act, ...props.on } }, label);
}

let lastId = 0;

/** freshId names a node once. */
export const freshId = (stem) => `${stem}-${++lastId}`;

/** field is a label with its input below, and a hint that belongs to it. */
export function field(label, input, hint) {
  input.id ||= freshId("in");
  const parts = [h("label", { for: input.id, text: label }), input];
  if (hint) {
    const id = freshId("hint");
    input.setAttribute("aria-describedby", id);
    parts.push(h("p", { class: "hint", id, text: hint }));
  }
  return h("div", { class: "field" }, parts);
}

/** sentence begins text with a capital and ends it with a stop, as the engine's phrases do not. */
export const sentence = (text) => (text ? text.charAt(0).toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".") : "");

/** errorText makes one text of errors. */
export const errorText = (errors) => errors.map((e) => [sentence(e.problem), sentence(e.remedy)].filter(Boolean).join(" ")).join(" ");

/**
 * problems lists errors as {problem, remedy, line, key} for a person; again, if there, tries once
 * more what failed.
 */
export function problems(errors) {
  return h("ul", { class: "problems" }, errors.map((e) => h("li", {},
    h("strong", { text: (e.line ? `Line ${e.line}: ` : "") + sentence(e.problem) }),
    e.remedy ? h("span", { text: " " + sentence(e.remedy) }) : null,
    e.again ? h("div", { class: "row" }, button("Try again", () => e.again())) : null)));
}

/** when writes a time of the store for a person, in the reader's own zone. */
export function when(iso) {
  const t = new Date(iso);
  const day = t.toDateString() === new Date().toDateString() ? "today"
    : t.toLocaleDateString(undefined, { day: "numeric", month: "short", year: "numeric" });
  return `${day} ${t.toLocaleTimeString(undefined, { hour: "2-digit", minute: "2-digit" })}`;
}

/** downloadFile hands a file to the browser to keep. */
export function downloadFile(name, type, content) {
  const url = URL.createObjectURL(new Blob([content], { type }));
  const a = h("a", { href: url, download: name });
  document.body.append(a);
  a.click();
  a.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** slug makes a file name of a rig's name. */
export function slug(name) {
  return name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "").slice(0, 60) || "rig";
}

/** pickFile asks for a file, and gives null if the person picks none. */
export function pickFile(accept) {
  return new Promise((resolve) => {
    const input = h("input", { type: "file", accept, class: "away", "aria-label": "File" });
    input.addEventListener("change", () => { resolve(input.files[0] ?? null); input.remove(); });
    input.addEventListener("cancel", () => { resolve(null); input.remove(); });
    document.body.append(input);
    input.click();
  });
}
