// What is kept of a rig: revisions, notes, the file itself; and two revisions side by side.
import { button, field, h, downloadFile, problems, slug, when } from "./dom.js";
import { Board } from "./drawing.js";
import { sections, verdict } from "./document.js";
import { charts } from "./section-curves.js";
import { fold, stick } from "./parts.js";

export async function rigHistory(rig, app) {
  const { store, say } = app;
  const errors = h("div", { role: "alert" });
  const list = h("ol", { class: "revisions" });
  const notes = h("ul", { class: "notes" });
  const note = h("textarea", { rows: "3", maxlength: "4000" });
  const name = h("input", { type: "text", maxlength: "80", autocomplete: "off", value: rig.state.name });
  const text = h("textarea", { class: "file", rows: "20", spellcheck: "false", value: rig.state.text, "aria-label": "The rig file" });
  const fileErrors = h("div", { role: "alert" });
  const attempt = async (f) => {
    errors.replaceChildren();
    try {
      await f();
    } catch (error) {
      errors.replaceChildren(problems([{ problem: error.message, remedy: error.remedy }]));
    }
  };

  const readRevisions = async () => {
    const all = await store.revisions(rig.rig.id);
    list.replaceChildren(...all.map((r, i) => h("li", {},
      h("div", { class: "revision" }, h("strong", { text: `Revision ${r.number}` }), h("span", { text: when(r.saved) }),
        h("span", { class: "quiet", text: [r.by && r.by !== "page" && `by ${r.by}`, r.note, r.name !== rig.state.name && `named “${r.name}”`].filter(Boolean).join(", ") })),
      h("div", { class: "row" },
        i ? h("a", { class: "button", href: `#/rig/${rig.rig.id}/compare/${r.number}/here`, text: "Compare with now", "aria-label": `Compare with now: revision ${r.number}` })
          : h("span", { class: "quiet", text: "the current one" }),
        i ? button("Go back to it", () => attempt(async () => {
          rig.flush();
          const old = await store.revision(rig.rig.id, r.number);
          const failed = rig.change("replace", old.text);
          if (failed) { errors.replaceChildren(problems(failed)); return; }
          await rig.save(`Back to revision ${r.number}`);
          say(`As in revision ${r.number} again. What stood here is kept, and undo brings it back.`);
          await readRevisions();
        }), { "aria-label": `Go back to it: revision ${r.number}` }) : null,
        i ? button("Show as ghost", () => attempt(async () => {
          const old = await store.revision(rig.rig.id, r.number);
          rig.change("ghost", old.text);
          say(`Revision ${r.number} is the faint one on the drawing now.`);
        }), { "aria-label": `Show as ghost: revision ${r.number}` }) : null,
        button("Export", () => attempt(async () => {
          const old = await store.revision(rig.rig.id, r.number);
          downloadFile(`${slug(old.name)}-${r.number}.toml`, "application/toml", old.text);
        }), { "aria-label": `Export revision ${r.number}` })))));
  };
  const readNotes = async () => {
    const all = (await store.journal(rig.rig.id)).notes ?? [];
    notes.replaceChildren(...all.map((n) => h("li", {}, h("p", { text: n.text }), h("div", { class: "row" },
      h("span", { class: "quiet", text: `${when(n.written)}, at revision ${n.revision}` }),
      button("Strike out", () => attempt(async () => {
        await store.write(rig.rig.id, { kind: "strike", revision: rig.parent, target: n.id });
        await readNotes();
      }), { "aria-label": `Strike out the note of ${when(n.written)}` })))));
  };
  const state = () => {
    if (document.activeElement !== name) name.value = rig.state.name;
    if (document.activeElement !== text) text.value = rig.state.text;
  };
  let number = rig.saveState.number;
  const saved = () => {
    if (rig.saveState.number === number) return;
    number = rig.saveState.number;
    readRevisions().catch(() => {});
  };
  rig.addEventListener("state", state);
  rig.addEventListener("savestate", saved);

  await attempt(async () => { await readRevisions(); await readNotes(); });
  const node = h("div", { class: "history" }, errors,
    h("section", {}, h("h2", { text: "Name" }), h("form", { class: "inline", on: { submit: (e) => {
      e.preventDefault();
      const failed = rig.set("name", name.value.trim());
      errors.replaceChildren(failed ? problems(failed) : "");
    } } }, field("What you call it", name), h("button", { type: "submit", text: "Rename" }))),
    h("section", {}, h("h2", { text: "Notes" }), notes,
      h("form", { on: { submit: (e) => {
        e.preventDefault();
        if (!note.value.trim()) return;
        attempt(async () => {
          await store.write(rig.rig.id, { kind: "note", revision: rig.parent, text: note.value.trim() });
          note.value = "";
          await readNotes();
        });
      } } }, field("New note", note), h("div", { class: "row" }, h("button", { type: "submit", text: "Write it down" })))),
    h("section", {}, h("h2", { text: "Revisions" }), h("p", { class: "quiet", text: "Every save is kept." }), list),
    fold("The rig file", h("p", { text: "The same rig as text. Measured values may carry their uncertainty; lines with # are remarks." }), text, fileErrors,
      h("div", { class: "row" },
        button("Put this text in", () => {
          const failed = rig.change("replace", text.value);
          fileErrors.replaceChildren(failed ? problems(failed) : "");
          if (!failed) say("The text is in.");
        }), button("Export the rig file", () => downloadFile(`${slug(rig.state.name)}.toml`, "application/toml", rig.state.text)),
        button("Export the drawing", () => downloadFile(`${slug(rig.state.name)}.svg`, "image/svg+xml", rig.engine.svg(rig.id, ""))))));
  node.leave = () => { rig.removeEventListener("state", state); rig.removeEventListener("savestate", saved); };
  node.changed = (change) => {
    if (change.rig === rig.rig.id) { readRevisions().catch(() => {}); readNotes().catch(() => {}); }
  };
  return node;
}

/** A side of the comparison: an open session that nothing is saved from. */
class ComparedRig extends EventTarget {
  boards = new Set();
  stick = 0;
  constructor(engine, state) {
    super();
    Object.assign(this, { engine, state, id: state.id });
    this.scene = engine.scene(this.id);
    this.numbers = engine.numbers(this.id);
  }

  set(x) {
    this.stick = x;
    this.engine.stick(this.id, x);
    for (const board of this.boards) board.fill();
    this.dispatchEvent(new Event("frame"));
  }
}

/** compare shows two revisions side by side; "here" is what stands here now. */
export async function compare(rig, app, [a = "", b = "here"]) {
  const { engine, store } = app;
  const all = await store.revisions(rig.rig.id);
  const read = async (n) => (n === "here" ? { words: "As it stands here", text: rig.state.text }
    : { words: `Revision ${n}`, text: (await store.revision(rig.rig.id, Number(n))).text });
  const sides = [await read(a || String(all[0].number)), await read(b)];
  const pick = (label, value, to) => field(label, h("select", { on: { change: (e) => app.go(`#/rig/${rig.rig.id}/compare/${to(e.target.value)}`) } },
    [["here", "As it stands here"], ...all.map((r) => [String(r.number), `Revision ${r.number}, ${when(r.saved)}`])].map(([v, words]) => {
      const option = h("option", { value: v, text: words });
      option.selected = v === value;
      return option;
    })));
  const node = h("div", { class: "compare" },
    h("div", { class: "two" }, pick("First", a, (v) => `${v}/${b}`), pick("Second", b, (v) => `${a}/${v}`)));
  const states = sides.map((side) => engine.open(side.text));
  const failed = states.find((state) => state.errors);
  if (failed) {
    for (const state of states) if (!state.errors) engine.close(state.id);
    node.append(h("p", { text: "One of them cannot be read:" }), problems(failed.errors));
    return node;
  }
  // An axle that only one of them has is not compared.
  const axle = states.every((state) => state.axles.length >= rig.state.axle) ? rig.state.axle : 1;
  for (const state of states) engine.axle(state.id, axle);
  const shown = states.map((state) => new ComparedRig(engine, state));
  const both = Object.assign(new EventTarget(), { stick: 0, scene: shown[0].scene, numbers: shown[0].numbers });
  let frame = 0;
  both.setStick = (x) => {
    both.stick = Math.max(-1, Math.min(1, x));
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      for (const one of shown) one.set(both.stick);
      both.dispatchEvent(new Event("frame"));
    });
  };
  const made = shown.map(() => charts(engine, ["inner", "curvature", "ackermann"]));
  const doc = engine.compare(sides[0].text, sides[1].text, sides[0].words, sides[1].words, axle);
  node.append(stick(both),
    h("div", { class: "two" }, shown.map((one, i) => h("section", {}, h("h2", { text: sides[i].words }), new Board(one, "above", { handles: false }).node))),
    ...(doc.errors ? [problems(doc.errors)] : [verdict(doc), ...sections(doc)]),
    h("div", { class: "two" }, made.map((m, i) => h("section", {}, h("h2", { text: `Curves: ${sides[i].words.toLowerCase()}` }), m.node))));
  made.forEach((m, i) => m.show(shown[i].id));
  node.leave = () => {
    cancelAnimationFrame(frame);
    for (const m of made) m.stop();
    for (const one of shown) engine.close(one.id);
  };
  return node;
}
