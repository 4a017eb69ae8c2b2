// The rigs that are kept, new ones, files in and out.
import { button, field, freshId, h, downloadFile, pickFile, problems, slug, when } from "./dom.js";
import { still } from "./drawing.js";
import { caution, fold } from "./parts.js";

/** rigs lists what is kept. */
export async function rigs(app) {
  const { engine, store, say } = app;
  const list = h("ul", { class: "rigs" });
  const aside = h("div", {});
  const errors = h("div", { role: "alert" });

  // tell shows a failure of the store where the person is, and true if there was none.
  const attempt = async (f) => {
    errors.replaceChildren();
    try {
      await f();
      return true;
    } catch (error) {
      errors.replaceChildren(problems([{ problem: error.message, remedy: error.remedy }]));
      return false;
    }
  };

  const read = async () => {
    const all = await store.rigs();
    const kept = all.filter((r) => !r.deleted), gone = all.filter((r) => r.deleted);
    list.replaceChildren(...kept.map((rig) => row(rig)));
    if (!kept.length) list.append(h("li", { class: "none" }, h("p", { text: "No rig yet. Begin with one: it takes a pair of calipers, a protractor or a phone, and about half an hour." })));
    aside.replaceChildren();
    if (gone.length) {
      aside.append(fold(`Deleted rigs (${gone.length})`, h("ul", { class: "rigs gone" }, gone.map((rig) => h("li", {},
        h("span", { class: "rig-title", text: rig.name }), h("span", { class: "quiet", text: `deleted ${when(rig.deleted)}` }),
        h("div", { class: "row" },
          button("Bring back", () => attempt(async () => { await store.undelete(rig.id); say(`“${rig.name}” is back.`); await read(); }), { "aria-label": `Bring back ${rig.name}` }),
          button("Remove for good", (e) => sure(e.currentTarget, "Remove for good, with all revisions", () => attempt(async () => { await store.purge(rig.id); await read(); })), { class: "danger", "aria-label": `Remove for good: ${rig.name}` })))))));
    }
  };

  const row = (rig) => {
    const picture = h("div", { class: "thumb-box" });
    seen(picture, async () => {
      const { revision } = await store.rig(rig.id);
      picture.replaceChildren(still(engine, revision.text, "above", ""));
      picture.firstChild.setAttribute("aria-hidden", "true");
    });
    return h("li", {},
      h("a", { class: "rig-link", href: `#/rig/${rig.id}/look` }, picture,
        h("span", { class: "rig-title", text: rig.name }),
        h("span", { class: "quiet", text: `revision ${rig.current}, ${when(rig.changed)}` })),
      h("div", { class: "row" },
        button("Export", () => attempt(async () => {
          const { revision } = await store.rig(rig.id);
          downloadFile(`${slug(revision.name)}.toml`, "application/toml", revision.text);
        }), { "aria-label": `Export ${rig.name}` }),
        button("Delete", () => attempt(async () => {
          await store.remove(rig.id);
          say(`“${rig.name}” is put aside, below, and can be brought back.`);
          await read();
        }), { "aria-label": `Delete ${rig.name}` })));
  };

  const importOne = async () => {
    const file = await pickFile(".toml,text/plain,application/toml");
    if (!file) return;
    errors.replaceChildren();
    if (file.size > 1 << 20) {
      errors.replaceChildren(problems([{ problem: `${file.name} is too large to be a rig file.`, remedy: "Nothing was imported." }]));
      return;
    }
    const text = await file.text();
    const state = engine.open(text);
    if (state.errors) {
      errors.replaceChildren(h("h2", { text: `${file.name} was not imported` }), problems(state.errors));
      return;
    }
    engine.close(state.id);
    await attempt(async () => {
      const revision = await store.create({ name: state.name, text, by: "import" });
      say(`“${state.name}” is imported.`);
      app.open(revision.rig, "look");
    });
  };

  const restore = async () => {
    const file = await pickFile(".zip,application/zip");
    if (!file) return;
    await attempt(async () => {
      const report = await store.restore(file);
      say(report.rigs.length
        ? `Restored: ${report.rigs.map((r) => `${r.name} (${r.new ? "new, " : ""}${r.revisions} revisions${r.beside ? ", beside what stands here" : ""})`).join("; ")}.`
        : "Everything in that backup is kept here already.");
      await read();
    });
  };

  const node = h("div", { class: "rigs-page" },
    h("h1", { text: "Your rigs" }),
    h("p", { class: "lead", text: "Measure the steering of a scale vehicle, see how it steers, and set it up so that left is like right." }),
    h("div", { class: "row" }, h("a", { class: "button main", href: "#/new", text: "Begin a new rig" }), button("Import a rig file", importOne)),
    errors, list, aside,
    h("section", { class: "band" }, h("h2", { text: "Keep everything safe" }),
      h("p", { text: store.kind === "browser"
        ? "Rigs are kept in this browser, on this device only. Clearing the browser's data clears them too: back them up into a file now and then."
        : "Rigs are kept on the computer that evenlock runs on. A backup is one file with every rig, revision and note." }),
      h("div", { class: "row" },
        button("Back everything up", () => attempt(async () => {
          downloadFile(`evenlock-backup-${new Date().toISOString().slice(0, 10)}.zip`, "application/zip", await store.backup());
          say("The backup is handed to the browser to keep.");
        })),
        button("Restore a backup", restore),
        store.kind === "server" ? h("a", { class: "button", href: "#/share", text: "Share on the bench" }) : null)),
    caution(engine.cautions().power, engine.cautions().road));
  node.changed = () => read().catch(() => {});
  node.reread = node.changed;
  await read();
  return node;
}

// sure asks once more, in place.
function sure(asked, words, act) {
  if (asked.dataset.sure) { act(); return; }
  asked.dataset.sure = "yes";
  asked.textContent = `${words}? Press again`;
  asked.setAttribute("aria-label", asked.textContent);
}

// seen runs f once the node comes into sight.
function seen(node, f) {
  const watch = new IntersectionObserver(([entry]) => {
    if (!entry.isIntersecting) return;
    watch.disconnect();
    f().catch(() => {});
  }, { rootMargin: "200px" });
  watch.observe(node);
}

/** newRig begins a rig from a layout. */
export async function newRig(app) {
  const { engine, store } = app;
  const starters = engine.starters();
  const name = h("input", { type: "text", maxlength: "80", autocomplete: "off", required: true });
  const errors = h("div", { role: "alert" });
  const group = freshId("layout");
  const choices = starters.map((starter, i) => {
    const radio = h("input", { type: "radio", name: group, value: starter.name });
    radio.checked = i === 0;
    const words = starter.summary.charAt(0).toUpperCase() + starter.summary.slice(1);
    const picture = still(engine, starter.text, "above", "");
    picture.setAttribute("aria-hidden", "true");
    return h("label", { class: "layout" }, radio, picture, h("span", { text: words }));
  });
  const form = h("form", { class: "new-rig", on: { submit: async (e) => {
    e.preventDefault();
    const state = engine.start(form.querySelector("input:checked").value);
    const named = state.errors ? state : engine.set(state.id, "name", name.value.trim());
    if (named.errors) { errors.replaceChildren(problems(named.errors)); return; }
    engine.close(state.id);
    try {
      const revision = await store.create({ name: named.name, text: named.text, by: "page" });
      app.open(revision.rig, "measure");
    } catch (error) {
      errors.replaceChildren(problems([{ problem: error.message, remedy: error.remedy }]));
    }
  } } },
  h("fieldset", {}, h("legend", { text: "Which is most like yours?" }), h("div", { class: "layouts" }, choices)),
  field("What do you call it?", name),
  errors,
  h("div", { class: "row" }, h("button", { class: "main", type: "submit", text: "Begin measuring" }), h("a", { class: "button", href: "#/", text: "Back to the rigs" })));
  const node = h("div", {}, h("h1", { text: "Begin a new rig" }),
    h("p", { class: "lead", text: "Front axle seen from above, forward is up. The numbers in these layouts are invented; you put in your own next." }), form);
  node.title = "Begin a new rig";
  return node;
}
