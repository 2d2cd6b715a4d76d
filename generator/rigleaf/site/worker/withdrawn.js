/* Stands where a guide keeps no field copy any more: takes away what an earlier worker has kept, and itself. */
"use strict";
addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) =>
  event.waitUntil(caches.delete("field copy of " + registration.scope).then(() => registration.unregister()))
);
