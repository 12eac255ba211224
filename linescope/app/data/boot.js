// Before the client starts: keep this launch's key for reloads of this tab, and say where the socket is.
(function () {
  "use strict";
  const here = new URL(window.location.href), name = "linescope-key";
  const key = here.searchParams.get("secret") || window.sessionStorage.getItem(name);
  if (key) {
    window.sessionStorage.setItem(name, key);
    here.searchParams.set("secret", key);
  }
  here.searchParams.set("sessionURL", `ws://${here.host}/ws`);
  window.history.replaceState(null, "", here);
})();
