// Before the client starts: keep this launch's key for reloads of this tab, and say where the socket is.
(function () {
  "use strict";
  const here = new URL(window.location.href), name = "linescope-key";
  let key = here.searchParams.get("secret");
  try {  // A frame in a notebook may have no storage of its own.
    key = key || window.sessionStorage.getItem(name);
    if (key) window.sessionStorage.setItem(name, key);
  } catch (refused) { console.info("no storage: a reload needs the whole address"); }
  if (key) here.searchParams.set("secret", key);
  here.searchParams.set("sessionURL", `ws://${here.host}/ws`);
  window.history.replaceState(null, "", here);
})();
