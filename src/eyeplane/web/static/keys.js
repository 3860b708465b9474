// Our own keys: which do something on this page stands in the data block #keys, by what the key tells.
// A press becomes the event "key:<name>" on the document; unless a script takes it, the first element
// marked data-key="<name>" that is to be seen is pressed, or focused if it is a field.

const block = document.getElementById("keys");
const names = block ? JSON.parse(block.textContent) : {};
const help = document.getElementById("keys-help");

function typing(target) {
  if (!(target instanceof Element)) return false;
  if (target.closest("textarea, select, [contenteditable]")) return true;
  const field = target.closest("input");
  return field !== null && !["checkbox", "radio", "button", "submit"].includes(field.type);
}

// Space and Enter press what has the focus; arrows and the like move what can be moved. Letters are free.
function taken(target, key) {
  if (key.length === 1 && key !== " ") return false;
  if (!(target instanceof Element)) return false;
  const pressed = key === " " || key === "Enter";
  const own = pressed ? "a, button, summary, " : "";
  return target.closest(`${own}input, [role="slider"], [data-own-keys]`) !== null;
}

function act(name) {
  const seen = [...document.querySelectorAll(`[data-key="${CSS.escape(name)}"]`)].find(
    (one) => one.checkVisibility?.() ?? one.offsetParent !== null,
  );
  if (!seen) return false;
  if (seen.matches("input:not([type=checkbox], [type=radio]), select, textarea")) seen.focus();
  else seen.click();
  return true;
}

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing) return;
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  if (document.querySelector("dialog[open]") || typing(event.target) || taken(event.target, event.key)) return;
  const name = Object.hasOwn(names, event.key) ? names[event.key] : undefined;
  if (name === undefined) return;
  const own = new CustomEvent(`key:${name}`, { cancelable: true, detail: { repeat: event.repeat } });
  if (!document.dispatchEvent(own)) {
    event.preventDefault();
    return;
  }
  if (name === "help" && help) {
    help.showModal();
    event.preventDefault();
  } else if (!event.repeat && act(name)) {
    event.preventDefault();
  }
});
