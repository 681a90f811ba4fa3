import { fileURLToPath } from 'node:url';
import type { Plugin } from 'vite';
import { defineConfig } from 'vite';

const at = (path: string) => fileURLToPath(new URL(path, import.meta.url));

/** Fonts are wanted by the first paint but found only once the style sheet is read: say so in the page. */
const preloadFonts: Plugin = {
  name: 'preload-fonts',
  transformIndexHtml: {
    order: 'post',
    handler: (_html, { bundle }) =>
      Object.keys(bundle ?? {})
        .filter((file) => file.endsWith('.woff2'))
        .map((file) => ({
          tag: 'link',
          attrs: { rel: 'preload', as: 'font', type: 'font/woff2', crossorigin: '', href: `/${file}` },
          injectTo: 'head' as const,
        })),
  },
};

export default defineConfig({
  root: at('.'),
  cacheDir: at('../../dist/.vite'),
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [preloadFonts],
  build: {
    outDir: at('../../dist/web'),
    emptyOutDir: true,
    target: 'es2023',
    // Nothing inlined: the content security policy takes scripts, styles and fonts from files only.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
});
