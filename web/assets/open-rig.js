// An open rig: the engine's session of it, the boards that show it, and how it is saved.
import { sentence } from "./dom.js";
import { StoreError } from "./store.js";

const tab = (() => {
  try {
    return sessionStorage.tab ??= crypto.getRandomValues(new Uint32Array(2)).join("");
  } catch {
    return "only";
  }
})();

/** A change that waits to be saved is saved after so long, in ms. */
const saveDelay = 700;
/** How old a change that was never saved must be, in ms, for its tab to be taken for gone. */
const abandoned = 15_000;

// The axle that is shown stays while the tab does.
const axleSlot = (rig) => `evenlock.axle.${rig}`;
function keptAxle(rig) {
  try {
    return Math.max(1, Number(sessionStorage.getItem(axleSlot(rig))) || 1);
  } catch {
    return 1;
  }
}

/**
 * OpenRig is an open rig. It tells of: "state" (something changed), "axle" (another axle is shown),
 * "frame" (numbers are filled anew), "savestate" (how saving stands), "notice" (another one saved),
 * "pick".
 */
export class OpenRig extends EventTarget {
  boards = new Set();
  stick = 0;
  wheelTravel = { left: 0, right: 0 };
  picked = null;
  saveState = { how: "saved" };
  notice = null;
  #frame = 0;
  #todo = null;
  #timer = 0;
  #saving = false;
  #retry = 1000;

  /** open gives an OpenRig, or {errors} if the file cannot be read. */
  static open(engine, store, { rig, revision }) {
    const state = engine.open(revision.text);
    if (state.errors) return { errors: state.errors, rig, revision };
    return new OpenRig(engine, store, rig, revision, state);
  }

  constructor(engine, store, rig, revision, state) {
    super();
    Object.assign(this, { engine, store, rig, id: state.id });
    this.parent = revision.number;
    this.savedText = revision.text;
    this.saveState = { how: "saved", number: revision.number, at: revision.saved };
    const axle = keptAxle(rig.id);
    this.#take(state.axles.length >= axle ? engine.axle(state.id, axle) : state);
    this.#recoverDraft();
  }

  close() {
    this.flush();
    this.closed = true;
    clearTimeout(this.#timer);
    cancelAnimationFrame(this.#frame);
    this.engine.close(this.id);
  }

  #emit(type, detail) { this.dispatchEvent(new CustomEvent(type, { detail })); }

  // ---- The engine

  #take(state) {
    const rebuild = state.scene !== this.state?.scene;
    this.state = state;
    if (!state.wheelTravel && !(this.wheelTravel.left === 0 && this.wheelTravel.right === 0)) {
      this.wheelTravel = { left: 0, right: 0 };
      this.#posed = { ...this.wheelTravel, stick: this.stick };
    }
    if (rebuild) {
      this.scene = this.engine.scene(this.id);
      this.numbers = this.engine.numbers(this.id);
      for (const board of this.boards) board.build();
    }
    this.fill();
  }

  fill() {
    if (!this.numbers.length) this.numbers = this.engine.numbers(this.id);
    for (const board of this.boards) board.fill();
    this.#emit("frame");
  }

  /** change runs a call of the engine that gives a state. It gives null, or the errors. */
  change(call, ...args) {
    const state = this.engine[call](this.id, ...args);
    if (state.errors) return state.errors;
    const was = this.state;
    this.#take(state);
    this.#emit("state");
    if (state.text !== was.text) this.#unsaved();
    if (state.axle !== was.axle) {
      this.picked = null;
      this.#emit("axle");
    }
    return null;
  }

  /** refresh shows the rig anew, in other units. */
  refresh() { this.change("state"); }

  /** showAxle shows an axle by its number, 1 in front and 2 at the rear. */
  showAxle(number) {
    try { sessionStorage.setItem(axleSlot(this.rig.id), number); } catch { /* it holds for this visit */ }
    this.change("axle", number);
  }

  set(key, value) { return this.change("set", key, value); }
  undo() { if (this.state.undo) this.change("undo"); }
  redo() { if (this.state.redo) this.change("redo"); }

  // Fast calls wait for the next frame, and only the last one counts.
  #nextFrame(todo) {
    this.#todo = todo;
    this.#frame ||= requestAnimationFrame(() => {
      this.#frame = 0;
      this.#todo?.();
      this.#todo = null;
    });
  }

  #frameNow() {
    if (!this.#frame) return;
    cancelAnimationFrame(this.#frame);
    this.#frame = 0;
    this.#todo?.();
    this.#todo = null;
  }

  #show(status) {
    this.held = status ? this.engine.why(this.id) : "";
    this.fill();
  }

  setStick(x) {
    this.stick = Math.max(-1, Math.min(1, x));
    this.#nextFrame(() => this.#pose());
  }

  /** setWheelTravel moves the suspension: by how many mm each wheel rises above ride height. */
  setWheelTravel(left, right) {
    this.wheelTravel = { left, right };
    this.#nextFrame(() => this.#pose());
  }

  /**
   * moveWheel moves one wheel to a height in mm, and the other one with it: coupling is both, roll
   * or one.
   */
  moveWheel(coupling, side, height) {
    const to = this.engine.coupled(this.id, coupling, side, height, this.wheelTravel.left, this.wheelTravel.right);
    if (!to.errors) this.setWheelTravel(to.left, to.right);
  }

  #pose() {
    const { left, right } = this.wheelTravel, was = this.#posed;
    this.#posed = { left, right, stick: this.stick };
    let status = 0;
    if (left !== was.left || right !== was.right) status = this.engine.wheelTravel(this.id, left, right);
    if (this.stick !== was.stick) status = this.engine.stick(this.id, this.stick);
    this.#show(status);
  }
  #posed = { left: 0, right: 0, stick: 0 };

  /**
   * straight tells whether the wheels point ahead at ride height, where the points were measured.
   */
  get straight() { return this.stick === 0 && this.wheelTravel.left === 0 && this.wheelTravel.right === 0; }

  // #straighten puts the wheels where the points were measured.
  #straighten() {
    if (this.straight) return;
    this.stick = 0;
    this.wheelTravel = { left: 0, right: 0 };
    this.#pose();
  }

  /**
   * showForces shows what servo and rods take on the drawing, or not, on a slope and a tilt in
   * degrees. It gives null, or the errors.
   */
  showForces(on, noseUp = 0, rightDown = 0) { return this.change("showForces", on, noseUp, rightDown); }

  /** handle gives a point by its number. */
  handle(number) { return { ...this.scene.handles[number], number }; }

  pick(handle) {
    if (this.picked?.number === handle.number) return;
    this.picked = handle;
    this.#emit("pick");
  }

  /** grab begins a drag, and gives where the point is now. */
  grab(handle) {
    this.#frameNow();
    this.#straighten();
    this.engine.grab(this.id, handle.number);
    this.dragging = true;
    return [this.numbers[handle.at], this.numbers[handle.at + 1]];
  }

  drag(u, v) { this.#nextFrame(() => this.#show(this.engine.drag(this.id, u, v))); }

  drop() {
    this.#frameNow();
    this.dragging = false;
    this.held = "";
    this.#refused(this.change("drop"));
  }

  cancel() {
    this.#todo = null;
    this.#frameNow();
    this.dragging = false;
    this.held = "";
    return this.change("cancel");
  }

  nudge(handle, du, dv) {
    this.#straighten();
    this.#refused(this.change("nudge", handle.number, du, dv));
  }

  // #refused says why a point cannot stay where it was put, and shows it where it was.
  #refused(errors) {
    if (!errors) return;
    this.held = errors.map((e) => sentence(e.problem)).join(" ");
    this.fill();
  }

  // ---- Saving

  #setSaveState(now) {
    this.saveState = now;
    this.#emit("savestate");
  }

  get #slot() { return `evenlock.unsaved.${this.rig.id}.${tab}`; }

  // What is not saved yet lies beside, in case the tab or the computer goes down.
  #writeDraft() {
    try {
      localStorage.setItem(this.#slot, JSON.stringify({ parent: this.parent, text: this.state.text, when: Date.now() }));
    } catch { /* a full or forbidden storage: the store still gets it */ }
  }

  #dropDraft() {
    try { localStorage.removeItem(this.#slot); } catch { /* there is none */ }
  }

  #recoverDraft() {
    try {
      for (const key of Object.keys(localStorage)) {
        if (!key.startsWith(`evenlock.unsaved.${this.rig.id}.`)) continue;
        const draft = JSON.parse(localStorage[key]);
        if (key !== this.#slot && Date.now() - draft.when < abandoned) continue;
        localStorage.removeItem(key);
        if (draft.text === this.savedText) continue;
        const state = this.engine.replace(this.id, draft.text);
        if (state.errors) continue;
        this.#take(state);
        if (draft.parent === this.parent) this.#unsaved();
        else {
          queueMicrotask(() => this.#conflict(null));
        }
        return;
      }
    } catch { /* there is none that can be read */ }
  }

  #unsaved() {
    this.#writeDraft();
    if (this.notice) return;
    this.#setSaveState({ ...this.saveState, how: "waiting" });
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.save(), saveDelay);
  }

  get dirty() { return this.state.text !== this.savedText; }

  /** flush saves at once what waits. */
  flush() { if (this.dirty && !this.notice) this.save(); }

  /** save keeps what the rig says now. A save that fails for a time is tried again. */
  async save(note) {
    clearTimeout(this.#timer);
    if (this.#saving) { this.#again = true; return; }
    const { text, name } = this.state;
    if (text === this.savedText && !note) { this.#dropDraft(); this.#setSaveState({ ...this.saveState, how: "saved" }); return; }
    this.#saving = true;
    this.#setSaveState({ ...this.saveState, how: "saving" });
    try {
      const revision = await this.store.save(this.rig.id, this.parent, { name, text, by: "page", ...(note ? { note } : {}) });
      this.#saved(revision);
    } catch (error) {
      this.#saving = false;
      if (!(error instanceof StoreError)) throw error;
      if (error.code === "conflict") return this.#conflict(error.newer);
      this.#setSaveState({ ...this.saveState, how: "failed", error });
      this.#writeDraft();
      if (["unreachable", "busy", "full", "too-many", "unavailable"].includes(error.code) && !this.closed) {
        this.#timer = setTimeout(() => this.save(note), this.#retry);
        this.#retry = Math.min(2 * this.#retry, 5000);
      }
      return;
    }
    this.#saving = false;
    this.#retry = 1000;
    const missed = this.#missed;
    this.#missed = 0;
    if (missed > this.parent) await this.checkStore();
    if ((this.#again || this.dirty) && !this.notice) { this.#again = false; this.save(); }
  }
  #again = false;
  #missed = 0;

  #saved(revision) {
    this.parent = revision.number;
    this.savedText = revision.text;
    if (!this.dirty) this.#dropDraft();
    this.#setSaveState({ how: "saved", number: revision.number, at: revision.saved });
  }

  /**
   * checkStore finds out whether another one saved, after a change was told or some may have been
   * missed.
   */
  async checkStore(change) {
    if (this.closed) return;
    if (this.#saving) {
      this.#missed = Math.max(this.#missed, change?.revision ?? Infinity);
      return;
    }
    if (change?.what === "saved" && change.revision <= this.parent) return;
    try {
      const { rig, revision } = await this.store.rig(this.rig.id);
      if (this.closed || this.#saving) return;
      this.gone = rig.deleted ? `“${rig.name}” was deleted in another tab or on another device.` : "";
      if (revision.number !== this.parent) {
        if (revision.text === this.state.text) this.#saved(revision);
        else this.#conflict(revision);
      } else if (this.saveState.how === "failed") this.save();
      this.#emit("notice");
    } catch (error) {
      if (error.code === "not-found") {
        this.gone = "This rig was removed for good in another tab or on another device.";
        this.#emit("notice");
      }
    }
  }

  // #conflict holds this tab's saves until the person has said which is to be kept.
  async #conflict(newer) {
    newer ??= (await this.store.rig(this.rig.id)).revision;
    clearTimeout(this.#timer);
    this.notice = { newer, mine: this.dirty };
    this.#setSaveState({ ...this.saveState, how: this.dirty ? "held" : "saved" });
    this.#emit("notice");
  }

  /** takeTheirs puts the newer revision here. Undo brings back what stood here. */
  takeTheirs() {
    const { newer } = this.notice;
    this.notice = null;
    this.parent = newer.number;
    this.savedText = newer.text;
    this.change("replace", newer.text);
    clearTimeout(this.#timer);
    this.#saved(newer);
    this.#emit("notice");
  }

  /** keepMine saves what stands here on top of the newer revision. */
  keepMine() {
    const { newer } = this.notice;
    this.notice = null;
    this.parent = newer.number;
    this.savedText = newer.text;
    this.#emit("notice");
    return this.save(`Kept over revision ${newer.number}`);
  }

  /** keepBoth saves what stands here as a rig of its own and gives its revision. */
  async keepBoth() {
    const revision = await this.store.create({ name: this.state.name, text: this.state.text, by: "page", note: `Split off from revision ${this.parent}` });
    this.#dropDraft();
    this.savedText = this.state.text;
    return revision;
  }
}
