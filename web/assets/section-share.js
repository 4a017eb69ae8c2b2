// Lets a phone at the bench open the page of this computer.
import { button, h, problems, when } from "./dom.js";
import { caution } from "./parts.js";

export async function share(app) {
  const { store } = app;
  const body = h("div", { class: "share" });
  const show = (state) => {
    body.replaceChildren();
    if (!state.on) {
      body.append(h("p", { text: "Now only this computer can open the page." }),
        h("div", { class: "row" }, button("Start sharing", () => act("share"), { class: "main" })));
      return;
    }
    body.append(h("p", { role: "status", text: `Sharing. ${state.devices === 1 ? "1 device is" : `${state.devices} devices are`} in.` }));
    if (state.link) {
      body.append(h("img", { class: "qr", src: `api/share/qr.svg?${encodeURIComponent(state.expires)}`, alt: "Code to scan with the phone; the link below says the same.", width: "320", height: "320" }),
        h("p", { text: `Scan it with the phone, which must be on the same network. It lets one device in, until ${when(state.expires)}.` }),
        h("p", { class: "link", text: state.link }));
    } else {
      body.append(h("p", { text: "The last code was used or is too old." }));
    }
    body.append(h("div", { class: "row" }, button("Make a new code", () => act("share")), button("Stop sharing", () => act("stopSharing"), { class: "danger" })));
  };
  const read = async () => show(await store.sharing());
  const act = async (call) => {
    try {
      await store[call]();
      await read();
    } catch (error) {
      body.prepend(h("div", { role: "alert" }, problems([{ problem: error.message, remedy: error.remedy }])));
    }
  };
  const node = h("div", {}, h("h1", { text: "Share on the bench" }),
    h("p", { class: "lead", text: "Open your rigs on a phone beside the vehicle. They stay on this computer." }), body,
    caution("The connection is not encrypted. Share only on a network that you trust, and stop when you are done."),
    h("p", {}, h("a", { class: "button", href: "#/", text: "Back to the rigs" })));
  node.title = "Share on the bench";
  if (!store.sharing) {
    body.append(h("p", { text: "This page runs in the browser alone; there is no computer to share from." }));
    return node;
  }
  try {
    await read();
  } catch (error) {
    body.append(h("p", { text: error.code === "not-found" || error.code === "forbidden" ? "Sharing is started and stopped on the computer itself." : error.message }));
    return node;
  }
  // Who comes in is seen within a few seconds.
  const timer = setInterval(async () => {
    const state = await store.sharing().catch(() => null);
    const now = JSON.stringify(state);
    if (state && now !== node.last) { node.last = now; show(state); }
  }, 4000);
  node.leave = () => clearInterval(timer);
  return node;
}
