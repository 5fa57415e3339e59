import { defineConfig } from "vite";

export default defineConfig({
  // The built folder may lie below any address.
  base: "./",
  build: {
    target: "es2022",
    // An asset within the script would be an address of its own kind, which the content security policy refuses.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: ["index.html", "src/service-worker.ts"],
      output: {
        // A service worker rules the folder that it lies in, and keeps its name from version to version.
        entryFileNames: ({ name }) => (name === "service-worker" ? "[name].js" : "assets/[name]-[hash].js"),
      },
    },
  },
  worker: { format: "es" },
});
