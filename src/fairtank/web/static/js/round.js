// The round: one tank at a time, everything kept at once, sent by itself. Without this script the page is a plain form.

import "./clock.js";
import { Queue, newKey, zonedTime } from "./queue.js";
import { pictureOf, showSmall } from "./shots.js";
import { Uploads } from "./upload.js";

const page = document.querySelector("[data-round]");
const words = JSON.parse(document.getElementById("round-words").textContent);
const fill = (text, facts) => text.replace(/\{(\w+)\}/g, (_, name) => facts[name] ?? "");
const token = page.querySelector("[name=csrfmiddlewaretoken]").value;
const { slug, date, today } = page.dataset;
const day = Number(page.dataset.day);
const onDate = date === today ? "" : date;
const queue = new Queue({ slug, day, address: page.dataset.entries, token });
const uploads = new Uploads({ slug, address: page.dataset.photos, token });
const form = page.querySelector("[data-sheet]");
const units = [...page.querySelectorAll("[data-unit]")];
const part = name => page.querySelector(`[data-${name}]`);
const [bar, stateLine, watch, nextButton, ended] = ["bar", "state", "watch", "next", "ended"].map(part);
const late = part("late");
let here = 0;

// Fields ------------------------------------------------------------------------------------------------------------

const inputOf = field => field.querySelector("textarea, .line input, input[type=checkbox]");

function factsOf(field) {
  const { kind, quantity, measured, chore, due } = field.dataset;
  const unit = field.closest("[data-unit]").dataset.unit;
  const own = { kind, unit, date: onDate };
  if (kind === "reading") return { ...own, quantity, unit_of_measure: measured };
  if (kind === "chore") return { ...own, chore, due_day: Number(due) };
  return { ...own, event: field.querySelector("select").value };
}

function valueOf(field) {
  const input = inputOf(field);
  return input.type === "checkbox" ? (input.checked ? "done" : "") : input.value.trim();
}

function keepField(field, options) {
  if (inputOf(field).disabled) return;
  queue.keep(field.dataset.field, factsOf(field), valueOf(field), options);
}

const numberIn = text => { const found = Number(text.replace(",", ".")); return text && Number.isFinite(found) ? found : null; };

// A value that was probably not meant is asked about before it is sent, also where there is no connection.
function doubt(field, value) {
  const number = numberIn(value), last = numberIn(field.dataset.last), unit = field.dataset.measured;
  const [low, high] = [field.dataset.low, field.dataset.high].map(text => (text === "" ? null : Number(text)));
  if (number === null) return "";
  const told = `${value}${unit ? ` ${unit}` : ""}`;
  const isFar = last !== null && last > 0 && (number / last > 5 || (number > 0 && last / number > 5) || (unit === "°C" && Math.abs(number - last) > 6));
  if (isFar) return fill(words.last_was, { value: told, last: field.dataset.lastWords });
  return low !== null && (number < low || number > high) ? fill(words.unusual, { value: told }) : "";
}

function leave(field) {
  const item = queue.item(field.dataset.field);
  if (!item && valueOf(field) === "") return;
  const asked = field.dataset.kind === "reading" && !item?.sure ? doubt(field, valueOf(field)) : "";
  keepField(field, { isReady: true });
  if (asked) {
    const kept = queue.item(field.dataset.field);
    if (Queue.isOpen(kept)) queue.write(`${queue.here}item.${field.dataset.field}`, { ...kept, state: "asked", said: asked });
    queue.tell();
  }
}

function button(text, act, className = "quiet") {
  const made = document.createElement("button");
  Object.assign(made, { type: "button", textContent: text, className, onclick: act });
  return made;
}

function showSaid(field) {
  const place = field.querySelector("[data-said]"), item = queue.item(field.dataset.field);
  const mark = item ? `${item.state}|${item.said}|${item.value}|${item.beside.join()}|${Queue.isOpen(item)}|${queue.isOffline}` : "";
  if (place.dataset.mark === mark) return;
  place.dataset.mark = mark;
  place.replaceChildren();
  field.classList.toggle("wrong", item?.state === "refused" && Queue.isOpen(item));
  if (!item) return;
  const isOpen = Queue.isOpen(item);
  if (!isOpen && item.value !== "") {
    place.append(Object.assign(document.createElement("span"), { className: "state-word", textContent: [words.stored, ...item.beside].join(". ") }));
  } else if (isOpen && item.state === "asked") {
    place.append(item.said, Object.assign(document.createElement("span"), { className: "actions" }));
    place.lastChild.append(
      button(fill(words.keep, { value: item.value }), () => { keepField(field, { isReady: true, sure: true }); focusAfter(field); }, ""),
      button(words.change, () => { inputOf(field).focus(); inputOf(field).select(); }));
  } else if (isOpen && item.state === "refused") {
    place.append(Object.assign(document.createElement("span"), { className: "refusal", textContent: item.said }));
  } else if (isOpen && item.isReady && queue.isOffline) {
    place.append(Object.assign(document.createElement("span"), { className: "state-word", textContent: words.waits }));
  }
}

function restoreField(field) {
  const item = queue.item(field.dataset.field), input = inputOf(field);
  if (!item || input.disabled) return;
  if (input.type === "checkbox") input.checked = item.value !== "";
  else input.value = item.value;
  if (field.dataset.kind === "note" && item.event) field.querySelector("select").value = item.event;
  if (item.value !== "") queue.write(`${queue.here}item.${item.key}`, { ...item, isReady: true });
}

// Further readings --------------------------------------------------------------------------------------------------

function addReading(section, { quantity, unit_of_measure, key, title }) {
  const known = section.querySelector(`[data-field="${key}"]`);
  if (known) return known;
  const field = document.createElement("div");
  field.className = "reading";
  Object.assign(field.dataset, { field: key, kind: "reading", quantity, measured: unit_of_measure, last: "", lastWords: "", low: "", high: "" });
  const label = Object.assign(document.createElement("label"), { htmlFor: `field-${key}`, textContent: `${title} ` });
  label.append(Object.assign(document.createElement("span"), { className: "unit", textContent: unit_of_measure }));
  const line = Object.assign(document.createElement("div"), { className: "line" });
  line.append(Object.assign(document.createElement("input"), { id: `field-${key}`, inputMode: "decimal", autocomplete: "off", enterKeyHint: "next" }));
  const said = document.createElement("p");
  said.className = "said";
  said.dataset.said = "";
  field.append(label, line, said);
  section.querySelector("details.another").before(field);
  return field;
}

function fieldKey(kind, unit, name) { // as `key_of` makes it for the fields that come with the page
  let [low, high] = [0x811c9dc5, 0x1000193];
  for (const letter of [kind, unit, name].join("\u0000")) {
    low = Math.imul(low ^ letter.codePointAt(0), 0x1000193) >>> 0;
    high = Math.imul(high + letter.codePointAt(0), 0x85ebca6b) >>> 0;
  }
  return `n${low.toString(16).padStart(8, "0")}${high.toString(16).padStart(8, "0")}`;
}

const newTyped = section => [...section.querySelectorAll("[data-new] input")].map(input => input.value.trim());

function takeNew(section, isReady = true) {
  const box = section.querySelector("[data-new]");
  const [quantity, value, measured] = newTyped(section);
  box.querySelector("[data-said]").textContent = value && !quantity ? words.what_read : "";
  if (!quantity || !value) { box.querySelector(quantity ? "input[inputmode]" : "input").focus(); return; }
  const same = [...section.querySelectorAll("[data-kind=reading]")].find(one => one.dataset.quantity.toLowerCase() === quantity.toLowerCase());
  const field = same ?? addReading(section, { quantity, unit_of_measure: measured, title: quantity, key: fieldKey("reading", section.dataset.unit, quantity) });
  inputOf(field).value = value;
  if (isReady) leave(field); else keepField(field, { isReady });
  for (const input of box.querySelectorAll("input")) input.value = "";
  section.querySelector("details.another").open = false;
  show();
}

// Who goes on has entered what stands in the fields, whether "Add it" was pressed or not. A value of nothing that is named stays in view.
function settleNew(section) {
  const [quantity, value] = newTyped(section);
  if (!value) return true;
  if (!quantity) section.querySelector("details.another").open = true;
  takeNew(section);
  return Boolean(quantity);
}

// Photos ------------------------------------------------------------------------------------------------------------

function shotOf(photo) {
  const shot = document.createElement("li");
  shot.dataset.entry = photo.entry;
  const box = document.createElement("div");
  box.append(document.createElement("progress"), document.createElement("span"), document.createElement("div"));
  const told = fill(words.photo_of, { unit: photo.unit });
  Object.assign(box.firstChild, { max: 1, value: 0, ariaLabel: told });
  shot.append(pictureOf(photo, told), box);
  return shot;
}

function showShot(shot, photo) {
  const [bar_, said, actions] = shot.lastChild.children;
  bar_.hidden = !["sent"].includes(photo.state);
  bar_.value = photo.share;
  const isRefused = photo.state === "refused", isDamaged = photo.isDamaged === true;
  if (photo.isShown && !("shown" in shot.dataset)) showSmall(shot, photo, fill(words.photo_of, { unit: photo.unit }));
  shot.classList.toggle("trouble", isRefused || isDamaged || Boolean(photo.said));
  said.className = isRefused || isDamaged ? "refusal" : "";
  said.textContent = isDamaged ? words.damaged : isRefused || photo.said ? words[photo.said] ?? photo.said : photo.state === "sent" ? `${Math.round(100 * photo.share)} %` : photo.state === "stored" ? words.stored : uploads.isOffline ? words.waits : "";
  const mark = isRefused ? "refused" : isDamaged ? "damaged" : "";
  if (actions.dataset.mark === mark) return;
  actions.dataset.mark = mark;
  actions.replaceChildren();
  if (isDamaged) actions.append(Object.assign(document.createElement("a"), { href: photo.page, textContent: words.its_page }));
  if (isRefused) {
    if (photo.ofTime) actions.append(button(words.use_round, () => uploads.retry(photo.entry, { ...withReason(photo), clock: "round" })));
    // A file that cannot be taken in is the same when it is sent again.
    if (!photo.isOfFile) actions.append(button(words.retry, () => uploads.retry(photo.entry, withReason(photo))));
    actions.append(button(words.remove, () => { shot.remove(); uploads.drop(photo.entry); }));
  }
}

// A photo may have been chosen before the reason for a late round was typed.
function withReason(photo) {
  const round = queue.round();
  return round?.key === photo.round.key ? { round: { ...photo.round, late: round.late } } : {};
}

function showPhotos() {
  for (const photo of uploads.photos.values()) {
    const section = units.find(one => one.dataset.unit === photo.unit);
    if (!section || (photo.round.day !== day)) continue;
    let shot = section.querySelector(`[data-entry="${photo.entry}"]`);
    if (!shot) {
      shot = shotOf(photo);
      section.querySelector("[data-shots]").append(shot);
    }
    showShot(shot, photo);
  }
}

// What is there and what is missing ---------------------------------------------------------------------------------

function countOf(section) {
  const unit = section.dataset.unit;
  const fields = [...section.querySelectorAll("[data-field]")];
  const isThere = field => "there" in field.dataset || (inputOf(field).type === "checkbox" ? inputOf(field).checked : inputOf(field).value.trim() !== "");
  const photosHere = section.querySelectorAll("[data-shots] [data-there]").length
    + [...uploads.photos.values()].filter(photo => photo.unit === unit && photo.round.day === day && photo.state !== "refused").length;
  const wanted = fields.filter(field => "wanted" in field.dataset);
  const marks = wanted.map(isThere);
  if ("wanted" in section.querySelector("[data-photo-key]").dataset) marks.unshift(photosHere > 0);
  const entered = fields.filter(isThere).length + photosHere;
  return { marks, there: marks.filter(Boolean).length, wanted: marks.length, entered };
}

function showBar() {
  units.forEach((section, place) => {
    const made = bar.children[place] ?? bar.appendChild(button("", () => goTo(place), ""));
    const { marks, there, wanted, entered } = countOf(section), unit = section.dataset.unit;
    const told = fill(wanted ? words.unit_bar : words.unit_free, { unit, there: wanted ? there : entered, wanted });
    const text = `${unit}|${marks.join()}|${told}|${place === here}`;
    if (made.dataset.mark === text) return;
    made.dataset.mark = text;
    made.replaceChildren(unit, Object.assign(document.createElement("span"), { className: "marks", textContent: marks.map(mark => (mark ? "●" : "○")).join("") }));
    made.lastChild.setAttribute("aria-hidden", "true");
    made.setAttribute("aria-label", told);
    made.title = told;
    if (place === here) made.setAttribute("aria-current", "true");
    else made.removeAttribute("aria-current");
  });
}

function showState() {
  const waiting = queue.waiting().length + uploads.waiting().length;
  const trouble = [...queue.troubled().map(item => item.unit), ...[...uploads.troubled(), ...uploads.damaged()].map(photo => photo.unit)];
  const isOffline = queue.isOffline || uploads.isOffline;
  const where = [...new Set(trouble)].join(", ");
  let told = units.some(section => newTyped(section)[1]) ? words.typing : queue.items().length || uploads.photos.size ? words.all_stored : words.nothing;
  if (waiting) told = isOffline ? fill(waiting === 1 ? words.wait_one : words.wait_many, { n: waiting })
    : queue.isSending || uploads.active ? fill(words.sending, { n: waiting }) : words.typing;
  if (trouble.length) told = `${fill(trouble.length === 1 ? words.look_one : words.look_many, { n: trouble.length, where })}${waiting ? ` ${told}` : ""}`;
  if (queue.fault) told = words[queue.fault] ?? queue.fault;
  if (!queue.canKeep) told = `${told} ${words.no_room}`;
  if (stateLine.textContent !== told) stateLine.textContent = told;
}

function showWatch() {
  const begun = queue.round()?.begun;
  const minutes = begun ? Math.floor((Date.now() - Date.parse(begun)) / 60000) : null;
  watch.textContent = minutes === null ? "" : minutes < 1 ? words.just_begun : fill(words.minutes, { n: minutes });
}

function show() {
  showPhotos();
  for (const field of form.querySelectorAll("[data-field]")) showSaid(field);
  showBar();
  showState();
  showWatch();
  const following = units[here + 1];
  nextButton.textContent = following ? fill(words.next, { unit: following.dataset.unit }) : words.finish;
}

// From tank to tank -------------------------------------------------------------------------------------------------

function goTo(place, { toField = false } = {}) {
  if (place !== here && !settleNew(units[here])) return;
  here = place;
  units.forEach((section, number) => { section.hidden = number !== here; });
  const section = units[here];
  (toField ? section.querySelector(".line input") ?? section.querySelector("h2") : section.querySelector("h2")).focus({ preventScroll: true });
  const top = section.getBoundingClientRect().top + scrollY - bar.offsetHeight;
  if (scrollY > top || toField) scrollTo({ top: Math.max(0, top) });
  queue.write(`${queue.here}place`, here);
  show();
}

function forward(options) {
  if (!settleNew(units[here])) return;
  for (const field of units[here].querySelectorAll("[data-field]")) if (queue.item(field.dataset.field) || valueOf(field)) leaveOnce(field);
  if (here + 1 < units.length) goTo(here + 1, options);
  else finish();
}

function leaveOnce(field) { // what was asked about already is not asked again
  const item = queue.item(field.dataset.field);
  if (!item || item.value !== valueOf(field) || !item.isReady) leave(field);
}

function focusAfter(field) {
  const fields = [...units[here].querySelectorAll(".line input")];
  const following = fields[fields.indexOf(inputOf(field)) + 1];
  if (following) following.focus();
  else nextButton.focus();
}

async function finish() {
  const round = queue.round();
  if (!round) { queue.round(true); }
  const trouble = queue.troubled()[0] ?? uploads.troubled()[0];
  if (trouble) {
    goTo(units.findIndex(section => section.dataset.unit === trouble.unit));
    stateLine.textContent = stateLine.textContent.trim();
    return;
  }
  const end = { ...queue.round(true), ended: zonedTime() };
  queue.setRound({ ended: end.ended });
  await finishSent(end);
}

async function finishSent(end) {
  const answer = await queue.flush({ all: true, end });
  if (queue.troubled().length) { show(); goTo(units.findIndex(section => section.dataset.unit === queue.troubled()[0].unit)); return; }
  form.hidden = true;
  page.querySelector(".pick-day").hidden = true;
  ended.hidden = false;
  const isStored = typeof answer?.minutes === "number" && !queue.waiting().length;
  const told = isStored ? (answer.minutes < 1 ? words.done_short : fill(words.done, { n: String(answer.minutes) })) : queue.fault || words.ended_waits;
  page.querySelector("[data-ended-said]").textContent = words[told] ?? told;
  page.querySelector("[data-ended-count]").textContent = isStored ? answer.counted : "";
  ended.focus();
  if (isStored && !uploads.waiting().length) queue.forget(end.key);
  else setTimeout(() => whenBack(end), 3000);
}

function whenBack(end) { // the round is over, and something still waits
  if (!ended.hidden) finishSent(end);
}

// Begin -------------------------------------------------------------------------------------------------------------

function listen() {
  form.addEventListener("input", event => {
    const field = event.target.closest("[data-field]");
    if (field) keepField(field, { isReady: event.target.type === "checkbox" });
    if (event.target === late) queue.setRound({ late: late.value });
    show();
  });
  form.addEventListener("change", event => {
    const field = event.target.closest("[data-field]");
    if (field) leave(field);
    if (event.target.type === "file") takeFiles(event.target);
    if (event.target === late) giveReason();
    if (event.target.list?.id === "quantities") suggestUnit(event.target);
    show();
  });
  form.addEventListener("keydown", event => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT" || event.target.type === "file") return;
    event.preventDefault();
    enter(event.target);
  });
  form.addEventListener("submit", event => event.preventDefault());
  nextButton.addEventListener("click", () => forward());
  for (const section of units) section.querySelector("[data-add] button").addEventListener("click", () => takeNew(section));
  addEventListener("pagehide", () => {
    for (const section of units) if (newTyped(section)[0] && newTyped(section)[1]) takeNew(section, false);
    queue.flush();
  });
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") queue.flush(); });
  queue.addEventListener("change", show);
  uploads.addEventListener("change", show);
  setInterval(showWatch, 15000);
}

function enter(input) {
  const section = units[here];
  if (input.closest("[data-new]")) { takeNew(section); return; }
  const field = input.closest("[data-field]");
  if (field && input.type === "checkbox") { input.checked = !input.checked; keepField(field, { isReady: true }); return; }
  if (field) {
    leave(field);
    if (queue.item(field.dataset.field)?.state === "asked") { show(); field.querySelector("[data-said] button")?.focus(); return; }
  }
  const inputs = [...section.querySelectorAll(".line input")];
  const following = inputs[inputs.indexOf(input) + 1];
  if (following) following.focus();
  else forward({ toField: true });
}

function giveReason() {
  queue.flush();
  for (const photo of uploads.troubled()) uploads.retry(photo.entry, withReason(photo));
}

function suggestUnit(input) {
  const option = [...input.list.options].find(one => one.value.toLowerCase() === input.value.trim().toLowerCase());
  const measured = input.closest(".row").querySelector("[list=measured-in]");
  if (option && !measured.value) measured.value = option.dataset.measured;
}

function takeFiles(input) {
  const section = input.closest("[data-unit]"), unit = section.dataset.unit;
  const key = section.querySelector("[data-photo-key]").dataset.photoKey;
  const round = queue.round(true);
  for (const file of input.files) uploads.add({ entry: `${round.key}-${key}-${newKey().slice(0, 8)}`, unit, file, round, date: onDate });
  input.value = "";
}

function restore() {
  const round = queue.round();
  if (round?.ended && !queue.waiting().length) queue.forget(round.key);
  for (const item of queue.items()) {
    const section = units.find(one => one.dataset.unit === item.unit);
    if (section && item.kind === "reading" && item.value !== "" && item.quantity) {
      addReading(section, { quantity: item.quantity, unit_of_measure: item.unit_of_measure, key: item.key, title: item.quantity });
    }
  }
  for (const field of form.querySelectorAll("[data-field]")) restoreField(field);
  if (late && round) late.value = round.late || late.value;
  const place = queue.read(`${queue.here}place`);
  if (Number.isInteger(place) && place < units.length) here = place;
}

page.classList.add("scripted");
for (const plain of page.querySelectorAll("[data-plain]")) plain.hidden = true;
for (const own of [bar, nextButton, ...page.querySelectorAll("[data-add]")]) own.hidden = false;
if (units.length < 2) bar.hidden = true;
form.noValidate = true;
restore();
units.forEach((section, number) => { section.hidden = number !== here; });
listen();
uploads.restore();
show();
queue.flush();
