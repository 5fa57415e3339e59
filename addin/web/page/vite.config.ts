import { defineConfig } from "vite";

export default defineConfig({
  // The built folder may lie below any address.
  base: "./",
  build: {
    target: "es2022",
    // An asset within the script would be an address of its own kind, which the content security policy refuses.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  worker: { format: "es" },
});
