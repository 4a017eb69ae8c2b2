// What to change, what matters most first: plain sentences with their figures.
import { button, h, problems } from "./dom.js";
import { follow } from "./worker-client.js";
import { caution, cautions } from "./parts.js";

const kinds = {
  do: ["To do", "It was tried on your rig, and mends something."],
  know: ["To know", "Nothing that was tried mends it, or it is a trade."],
  unsure: ["Not sure", "It is within what your measurements leave open."],
  well: ["Well as it is", ""],
};

export function change(rig, app) {
  const list = h("ol", { class: "advice" });
  const head = h("div", { class: "advice-head" }), errors = h("div", { role: "alert" });
  const wait = h("p", { class: "wait", role: "status", text: "Trying changes on the rig…" });

  const attempt = (piece) => {
    const failed = rig.change("setAll", piece.change.words, piece.change.set);
    errors.replaceChildren(failed ? problems(failed) : "");
    if (!failed) app.say("Tried: it is in the rig file now. Undo takes it back.");
  };
  const card = (piece) => {
    const [word] = kinds[piece.kind], { change: proposed } = piece;
    return h("li", { class: `piece piece-${piece.kind}`, data: { piece: piece.key } },
      h("p", { class: "kind" }, h("span", { class: "sign", "aria-hidden": "true" }), h("span", { text: word }),
        piece.weight.value > 0 ? h("span", { class: "quiet", text: `${piece.weight.text} of a wheel at stake` }) : null),
      h("p", { class: "sentence", text: piece.sentence }),
      proposed ? h("p", { class: "before-after" }, `${proposed.before.words.charAt(0).toUpperCase()}${proposed.before.words.slice(1)}: `,
        h("strong", { text: proposed.before.text }), " → ", h("strong", { text: proposed.after.text })) : null,
      proposed?.set?.length ? h("div", { class: "row" }, button("Try it", () => attempt(piece), { "aria-label": `Try it: ${proposed.words}` })) : null);
  };
  const show = (d) => {
    wait.remove();
    if (d.errors) {
      errors.replaceChildren(problems(d.errors));
      list.replaceChildren();
      return;
    }
    errors.replaceChildren();
    const todo = d.list.filter((one) => one.kind === "do").length;
    head.replaceChildren(
      h("p", { class: "lead", text: todo ? `${todo === 1 ? "One thing" : `${todo} things`} to do, what matters most first. Each was tried on your rig by itself: after one, look again.` : "Nothing to do that was found." }),
      ...(d.lacks.length ? [h("div", { class: "notice quiet-notice" }, h("p", { text: "Whether servo and rods are strong enough is not looked at yet, as the file does not say enough." }),
        h("div", { class: "row" }, h("a", { class: "button", href: `#/rig/${rig.rig.id}/loads`, text: "Put it in" })))] : []));
    const focus = document.activeElement?.closest?.("[data-piece]")?.dataset.piece;
    list.replaceChildren(...d.list.map(card));
    if (focus) list.querySelector(`[data-piece="${CSS.escape(focus)}"] button`)?.focus({ preventScroll: true });
  };
  const asked = follow(rig, app.client, list, show, "advise");
  const node = h("div", { class: "change" }, head, errors, wait, list, caution(cautions.power, cautions.stall, cautions.parts, cautions.pack));
  node.leave = asked.stop;
  return node;
}
