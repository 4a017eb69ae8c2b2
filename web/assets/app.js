// Starts the page and turns from section to section. The address after # says what is
// shown: #/ the rigs, #/rig/ID/section one rig.
import { OpenRig } from "./open-rig.js";
import { button, h, problems, when } from "./dom.js";
import { startEngine } from "./engine.js";
import { choice, icon } from "./parts.js";
import { StoreError, openStore } from "./store.js";
import { compare, rigHistory } from "./section-history.js";
import { change } from "./section-change.js";
import { curves } from "./section-curves.js";
import { WorkerClient } from "./worker-client.js";
import { loads } from "./section-loads.js";
import { look, panel } from "./section-look.js";
import { measure } from "./section-measure.js";
import { radio } from "./section-radio.js";
import { newRig, rigs } from "./section-rigs.js";
import { setup } from "./section-setup.js";
import { share } from "./section-share.js";
import { startUnits, unitsButton } from "./units.js";

const page = document.getElementById("page");
const sections = [
  ["measure", "Measure", measure],
  ["look", "Look", look],
  ["curves", "Curves", curves],
  ["loads", "Loads", loads],
  ["change", "Change", change, "What to change"],
  ["setup", "Set up", setup],
  ["radio", "Radio", radio],
  ["history", "History", rigHistory],
];

// Sections by the names that they had in addresses of earlier versions.
const renamed = new Map([["keep", "history"]]);

// section finds a section by its name in an address; where there is none, one looks at the rig.
const section = (name) => [...sections, ["compare", "Compare", compare]].find(([key]) => key === (renamed.get(name) ?? name)) ?? section("look");

let app = null;
let openRig = null;
let shown = null;

async function start() {
  try {
    const [engine, store] = await Promise.all([startEngine(), openStore()]);
    startUnits(engine);
    app = { engine, store, client: new WorkerClient(), go, say, open: (id, section) => go(`#/rig/${id}/${section}`) };
  } catch (error) {
    stop(error);
    return;
  }
  app.store.watch(changed, () => { openRig?.checkStore(); shown?.reread?.(); });
  addEventListener("engineended", () => stop(new Error("The engine stopped. What was saved is kept, and what was not is laid aside: load the page again.")));
  addEventListener("hashchange", route);
  addEventListener("pagehide", () => openRig?.flush());
  document.addEventListener("visibilitychange", () => { if (document.hidden) openRig?.flush(); });
  addEventListener("keydown", keys);
  addEventListener("unitschange", async () => {
    if (!openRig) return;
    openRig.refresh();
    if (shown?.unitsChanged) shown.unitsChanged();
    else await remake();
  });
  if (app.store.kind === "browser") (await import("./offline.js")).install(say);
  await route();
  performance.mark("ready");
}

function stop(error) {
  page.replaceChildren(h("main", { id: "sheet", tabindex: "-1", class: "plain" }, h("h1", { text: "evenlock cannot start" }),
    h("p", { text: error.message }), error.remedy ? h("p", { text: error.remedy }) : null,
    error instanceof StoreError ? null : h("p", { text: "This browser may be too old, or part of the page did not arrive. Load it again." })));
}

// remake makes the section anew, and stays where one is in it.
async function remake() {
  const at = scrollY;
  await route();
  scrollTo(0, at);
}

function go(hash) {
  if (location.hash === hash) route();
  else location.hash = hash;
}

function changed(change) {
  if (openRig && (change.rig === openRig.rig.id || change.what === "merged") && change.what !== "noted") openRig.checkStore(change);
  shown?.changed?.(change);
}

function keys(e) {
  if (!openRig || !(e.ctrlKey || e.metaKey) || e.altKey) return;
  // In a text that is being written, the browser's own undo is meant.
  if (e.target.matches?.("input, textarea") && e.target.value !== e.target.defaultValue) return;
  const key = e.key.toLowerCase();
  if (key === "z" && !e.shiftKey) openRig.undo();
  else if (key === "y" || (key === "z" && e.shiftKey)) openRig.redo();
  else return;
  e.preventDefault();
}

// say tells something in passing, also to those who do not see it.
const saying = h("div", { class: "saying", role: "status" });
document.body.append(saying);
let sayTimer = 0;
function say(text) {
  saying.textContent = text;
  clearTimeout(sayTimer);
  sayTimer = setTimeout(() => { saying.textContent = ""; }, 8000);
}

// plain is a part of an address in plain letters. What is no such part, as a lone %, stands for
// itself.
function plain(part) {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

let turn = 0;
async function route() {
  const mine = ++turn;
  const [, what, id, name = "look", ...rest] = location.hash.split("/").map(plain);
  try {
    if (what === "rig" && id) await showRig(id, name, rest, mine);
    else await showPlain(what, mine);
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    leave();
    page.replaceChildren(header(), h("main", { id: "sheet", tabindex: "-1", class: "plain" }, h("h1", { text: "Not available" }),
      h("p", { text: error.message }), h("p", { text: error.remedy }),
      h("div", { class: "row" }, button("Try again", () => route()), button("Go to the rigs", () => go("#/")))));
  }
}

function leave() {
  shown?.leave?.();
  shown = null;
  openRig?.panel?.leave();
  openRig?.close();
  openRig = null;
}

async function showPlain(what, mine) {
  const make = new Map([["new", newRig], ["share", share]]).get(what) ?? rigs;
  const content = await make(app);
  if (mine !== turn) return;
  leave();
  shown = content;
  page.className = "plain-page";
  page.replaceChildren(header(), h("main", { id: "sheet", tabindex: "-1", class: "plain" }, content));
  title(content.title);
}

function title(text) {
  // Says, to tests as well, that what the address names is laid out.
  document.documentElement.dataset.at = location.hash || "#/";
  document.title = text ? `${text} – evenlock` : "evenlock";
  scrollTo(0, 0);
}

async function showRig(id, name, rest, mine) {
  if (openRig?.rig.id !== id) {
    const stored = await app.store.rig(id);
    if (mine !== turn) return;
    leave();
    const opened = OpenRig.open(app.engine, app.store, stored);
    if (opened.errors) return showBroken(opened);
    openRig = opened;
    layOut();
  }
  const [key, words, make, heading = words] = section(name);
  const content = await make(openRig, app, rest);
  if (mine !== turn || !openRig) { content.leave?.(); return; }
  shown?.leave?.();
  shown = content;
  page.className = `rig-page on-${key}`;
  document.getElementById("sheet").replaceChildren(h("h1", { class: "section-title", text: heading }), content);
  for (const a of page.querySelectorAll("nav.sections a")) {
    if (a.dataset.section === key) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
  title(`${heading}: ${openRig.state.name}`);
}

function header(...content) {
  return h("header", { class: "top" }, h("div", { class: "edge", "aria-hidden": "true" }),
    h("div", { class: "bar" }, content.length ? content : h("a", { class: "mark", href: "#/", text: "evenlock" }), app ? unitsButton(app.engine) : null, light()));
}

// light switches between the device's wish, light and dark.
function light() {
  const ways = ["auto", "light", "dark"];
  const words = { auto: "Light or dark as the device", light: "Light", dark: "Dark" };
  const now = () => document.documentElement.dataset.light ?? "auto";
  const b = button(icon("light"), () => {
    const next = ways[(ways.indexOf(now()) + 1) % 3];
    if (next === "auto") delete document.documentElement.dataset.light;
    else document.documentElement.dataset.light = next;
    try { localStorage.setItem("evenlock.light", next); } catch { /* it holds for this visit */ }
    name();
    dispatchEvent(new Event("lightchange"));
    say(words[next] + ".");
  }, { class: "plain-button light" });
  const name = () => { b.setAttribute("aria-label", `Switch light: now ${words[now()].toLowerCase()}`); b.title = words[now()]; };
  name();
  return b;
}

// layOut makes what stays while one rig is open.
function layOut() {
  const name = h("span", { class: "rig-name" });
  const saved = h("span", { class: "save-state", role: "status" });
  const undo = button(icon("undo"), () => openRig.undo(), { class: "plain-button" });
  const redo = button(icon("redo"), () => openRig.redo(), { class: "plain-button" });
  const notice = h("div", { class: "notices" });
  const rig = openRig;
  const axles = h("div", { class: "axles", hidden: true });
  const showAxles = () => {
    axles.hidden = !rig.state.axles.length;
    if (axles.hidden) return;
    if (!axles.firstChild) axles.append(choice("Axle", rig.state.axles.map((words, i) => [String(i + 1), words]), "", (number) => rig.showAxle(Number(number))));
    axles.firstChild.show(String(rig.state.axle));
  };
  const showState = () => {
    name.textContent = rig.state.name;
    for (const [b, word, what] of [[undo, "Undo", rig.state.undo], [redo, "Redo", rig.state.redo]]) {
      b.disabled = !what;
      const words = what ? `${word}: ${what}` : `Nothing to ${word.toLowerCase()}`;
      b.setAttribute("aria-label", words);
      b.title = words;
    }
  };
  const showSaveState = () => {
    const k = rig.saveState;
    saved.dataset.how = k.how;
    saved.replaceChildren(h("span", { class: "sign", "aria-hidden": "true" }), {
      saved: h("span", {}, `Saved as revision ${k.number}`, h("span", { class: "time", text: `, ${when(k.at).replace(/^today /, "")}` })),
      waiting: "Not saved yet…", saving: "Saving…", held: "Not saved: another one saved too",
      failed: `Not saved: ${k.error?.message ?? ""} ${k.error?.remedy ?? ""}`,
    }[k.how]);
  };
  const showNotice = () => {
    const items = [];
    if (rig.gone) {
      items.push(h("div", { class: "notice", role: "alert" }, h("p", { text: rig.gone }), h("div", { class: "row" },
        button("Bring it back", async () => { await app.store.undelete(rig.rig.id).catch((e) => say(e.message)); rig.checkStore(); }),
        button("Keep a copy", async () => { const r = await rig.keepBoth(); go(`#/rig/${r.rig}/look`); }))));
    }
    if (rig.notice) {
      const { newer, mine } = rig.notice;
      items.push(h("div", { class: "notice", role: "alert" },
        h("p", {}, h("strong", { text: `Another tab or device saved revision ${newer.number} of this rig. ` }),
          mine ? "What you changed here is not saved yet. Nothing is lost: choose." : "You see the one before."),
        h("div", { class: "row" },
          button("Look at both", () => go(`#/rig/${rig.rig.id}/compare/${newer.number}/here`)),
          button(`Take revision ${newer.number}`, () => rig.takeTheirs()),
          button(mine ? "Save mine on top" : "Stay with mine", () => rig.keepMine()),
          button("Keep mine as a new rig", async () => { const r = await rig.keepBoth(); rig.takeTheirs(); go(`#/rig/${r.rig}/look`); }))));
    }
    if (rig.state.warnings?.length) items.push(h("div", { class: "notice quiet-notice" }, problems(rig.state.warnings)));
    notice.replaceChildren(...items);
  };
  rig.addEventListener("state", showState);
  rig.addEventListener("state", showAxles);
  rig.addEventListener("axle", remake);
  rig.addEventListener("state", showNotice);
  rig.addEventListener("savestate", showSaveState);
  rig.addEventListener("notice", showNotice);
  showState();
  showAxles();
  showSaveState();
  showNotice();
  rig.panel = panel(rig);
  const nav = h("nav", { class: "sections", "aria-label": "Sections" }, sections.map(([key, words]) =>
    h("a", { href: `#/rig/${rig.rig.id}/${key}`, data: { section: key } }, icon(key), h("span", { text: words }))));
  page.replaceChildren(
    header(h("a", { class: "back", href: "#/", "aria-label": "All rigs", title: "All rigs" }, icon("back"), h("span", { text: "Rigs" })),
      h("div", { class: "who" }, name, saved), axles, undo, redo),
    nav, notice, h("div", { class: "work" }, rig.panel, h("main", { id: "sheet", tabindex: "-1" })));
}

// showBroken lets a file be corrected that cannot be read.
function showBroken({ errors, rig, revision }) {
  const text = h("textarea", { class: "file", rows: "24", spellcheck: "false", "aria-label": "Rig file", value: revision.text });
  const list = h("div", {}, problems(errors));
  page.className = "plain-page";
  page.replaceChildren(header(), h("main", { id: "sheet", tabindex: "-1", class: "plain" },
    h("h1", { text: rig.name }), h("p", { text: "This rig's file cannot be read as it stands. Correct it here; the one kept stays among the revisions." }),
    list, text, h("div", { class: "row" }, button("Save the corrected file", async () => {
      const state = app.engine.open(text.value);
      if (state.errors) { list.replaceChildren(problems(state.errors)); return; }
      app.engine.close(state.id);
      await app.store.save(rig.id, revision.number, { name: state.name, text: text.value, by: "page", note: "Corrected" });
      route();
    }, { class: "main" }))));
}

start();
