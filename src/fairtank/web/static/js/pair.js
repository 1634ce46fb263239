// The code stands behind the # of the address, where it reaches neither the server nor its logs: it is put into the form and taken away.
const field = document.querySelector("[data-from-address]");
const code = decodeURIComponent(location.hash.slice(1));
if (field && code) {
  field.value = field.dataset.fromAddress === "code" ? code.replace(/^(.{4})(.{4})$/, "$1 $2") : code;
  history.replaceState(null, "", location.pathname + location.search);
  document.querySelector("[data-next]")?.focus();
}
