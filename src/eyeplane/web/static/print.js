// Screens of 1.25 or 2.625 pixels to a CSS px get a picture in just their own pixels.
const ratio = window.devicePixelRatio;

function exact(list) {
  const [first] = list.split(" ");
  const address = new URL(first, location.href);
  for (const name of ["px", "tall"]) {
    address.searchParams.set(name, Math.min(4096, Math.round(Number(address.searchParams.get(name)) * ratio)));
  }
  return `${address.pathname}${address.search} ${ratio}x`;
}

if (![1, 2, 3].includes(ratio) && ratio > 0.5 && ratio < 4) {
  for (const one of document.querySelectorAll("picture source, picture img")) one.srcset = exact(one.srcset);
}
