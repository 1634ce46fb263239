// What is shown of a photo in the round: the photo as the phone has it until it is stored, then the shelf's small picture of it.

const MOST_UNPACKED = 6; // a photo of a camera takes 50 MB when it is shown; of more than these the small pictures are waited for
const held = new Map();

export function pictureOf(photo, told) {
  if (held.size >= MOST_UNPACKED) return named(photo);
  held.set(photo.entry, URL.createObjectURL(photo.blob));
  const image = Object.assign(document.createElement("img"), { src: held.get(photo.entry), alt: told });
  image.onerror = () => image.replaceWith(named(photo));
  return image;
}

export function showSmall(shot, photo, told) {
  shot.firstChild.replaceWith(Object.assign(document.createElement("img"), { src: photo.picture, alt: told }));
  shot.dataset.shown = "";
  if (held.has(photo.entry)) URL.revokeObjectURL(held.get(photo.entry));
  held.delete(photo.entry);
}

function named(photo) {
  return Object.assign(document.createElement("span"), { className: "no-picture", textContent: photo.name });
}
