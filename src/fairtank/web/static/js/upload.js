// Photos of rounds: kept in IndexedDB until they are stored, one request for each, with progress and retry. When all are stored, their
// small pictures are asked for: making one decodes the photo, and one that is damaged is told beside it.

import { clockTime } from "./queue.js";

const AT_A_TIME = 3;
const RETRY_MS = [2000, 4000, 8000, 15000, 30000];

function opened() {
  return new Promise((done, failed) => {
    const asked = indexedDB.open("fairtank", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "entry" });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

function settled(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

export class Uploads extends EventTarget {
  constructor({ slug, address, token }) {
    super();
    Object.assign(this, { slug, address, token, photos: new Map(), active: 0, tries: 0, timer: 0, isOffline: false, isLooking: false, isTold: false });
    this.store = opened().catch(() => null);
    addEventListener("online", () => { this.tries = 0; this.release(); });
  }

  async table(mode) {
    const store = await this.store;
    return store?.transaction("photos", mode).objectStore("photos");
  }

  // Photos of this trial that were chosen before the page was left; of whatever day.
  async restore() {
    try {
      const table = await this.table("readonly");
      const kept = table ? await settled(table.getAll()) : [];
      for (const photo of kept.filter(one => one.slug === this.slug)) this.photos.set(photo.entry, { ...photo, state: "waits", share: 0, said: "" });
    } catch { /* the browser keeps nothing */ }
    this.tell();
    this.next();
  }

  async add({ entry, unit, file, round, date }) {
    const noted = clockTime();
    const photo = { entry, slug: this.slug, unit, blob: file, name: file.name || "photo.jpg", round, noted, at: date ? `${date}T${noted.slice(11)}` : noted };
    this.photos.set(entry, { ...photo, state: "waits", share: 0, said: "" });
    this.tell();
    try { await settled((await this.table("readwrite")).put(photo)); } catch { /* it is sent from memory */ }
    this.next();
  }

  async drop(entry) {
    this.photos.delete(entry);
    try { await settled((await this.table("readwrite")).delete(entry)); } catch { /* nothing was kept */ }
    this.tell();
  }

  retry(entry, changes = {}) {
    const photo = this.photos.get(entry);
    if (!photo) return;
    Object.assign(photo, changes, { state: "waits", said: "", share: 0 });
    this.tell();
    this.next();
  }

  waiting() {
    return [...this.photos.values()].filter(photo => ["waits", "sent"].includes(photo.state));
  }

  troubled() {
    return [...this.photos.values()].filter(photo => photo.state === "refused");
  }

  damaged() {
    return [...this.photos.values()].filter(photo => photo.isDamaged);
  }

  next() {
    while (this.active < AT_A_TIME) {
      const photo = [...this.photos.values()].find(one => one.state === "waits" && !one.isHeld);
      if (!photo) break;
      this.send(photo);
    }
    if (!this.waiting().length) this.look();
  }

  // One after the other, and not while something is sent.
  async look() {
    if (this.isLooking) return;
    this.isLooking = true;
    try {
      for (const photo of [...this.photos.values()].filter(one => one.state === "stored" && one.picture && !one.isLookedAt)) {
        if (this.waiting().length) break;
        const answer = await fetch(photo.picture);
        if (answer.status >= 500 || answer.status === 429) break;
        Object.assign(photo, { isLookedAt: true, isDamaged: answer.status === 404, isShown: answer.ok });
        await answer.blob();
        this.tell();
      }
    } catch { /* no connection: asked again with the next photo; the strip wall tells it too */ }
    this.isLooking = false;
  }

  send(photo) {
    this.active += 1;
    photo.state = "sent";
    const { key, day, begun, late } = photo.round;
    const facts = { key, day, begun, late, unit: photo.unit, entry: photo.entry, at: photo.at, noted: photo.noted, clock: photo.clock ?? "" };
    const request = new XMLHttpRequest();
    request.open("POST", `${this.address}?${new URLSearchParams({ ...facts, name: photo.name })}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("X-CSRFToken", this.token);
    request.upload.onprogress = event => { photo.share = event.lengthComputable ? event.loaded / event.total : 0; this.tell(); };
    request.onload = () => this.took(photo, request);
    request.onerror = request.ontimeout = request.onabort = () => this.later(photo);
    request.send(photo.blob);
    this.tell();
  }

  took(photo, request) {
    if (request.status >= 500 || request.status === 429) { this.later(photo); return; }
    let told = {};
    try { told = JSON.parse(request.responseText); } catch { told = { state: "refused", said: "open_again" }; }
    Object.assign(this, { isOffline: false, tries: 0 });
    this.active -= 1;
    Object.assign(photo, { state: told.state ?? "refused", said: told.said ?? "", ofTime: told.of_time === true, isOfFile: told.of_file === true, share: 1, picture: told.picture, page: told.page });
    if (photo.state === "stored") this.table("readwrite").then(table => table?.delete(photo.entry)).catch(() => {});
    this.tell();
    this.next();
  }

  later(photo) {
    this.active -= 1;
    this.isOffline = true;
    Object.assign(photo, { state: "waits", share: 0, isHeld: true });
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.release(), RETRY_MS[Math.min(this.tries, RETRY_MS.length - 1)]);
    this.tries += 1;
    this.tell();
  }

  release() {
    for (const photo of this.photos.values()) photo.isHeld = false;
    this.next();
  }

  tell() { // once for each picture that the screen shows: progress comes far more often
    if (this.isTold) return;
    this.isTold = true;
    const now = () => { this.isTold = false; this.dispatchEvent(new Event("change")); };
    if (document.visibilityState === "visible") requestAnimationFrame(now);
    else setTimeout(now);
  }
}
