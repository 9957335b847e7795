import { defineConfig } from "vite";

/** Builds the page that both hosts serve; paths are relative to the project's folder. Nothing is inlined, for the page
 *  runs under `script-src 'self'`, `style-src 'self'` and no `data:` images. */
export default defineConfig({
	root: "renderer",
	// Relative, for the hosts serve the page under different origins.
	base: "./",
	build: {
		outDir: "../dist/renderer",
		emptyOutDir: true,
		assetsInlineLimit: 0,
		modulePreload: { polyfill: false },
		target: "chrome120",
		cssCodeSplit: false,
		reportCompressedSize: false,
		// kB; the program that draws volumes is a file of its own, which only their screen loads.
		chunkSizeWarningLimit: 1200,
	},
});
