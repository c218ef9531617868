import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

// `npm run dev` shows the app at once and hands /api on to a running `nightfold app`.
const server = process.env['NIGHTFOLD_SERVER'] ?? 'http://127.0.0.1:8765';

export default defineConfig({
  plugins: [svelte()],
  base: './',
  build: {
    target: 'es2022',
    // The server's content policy allows nothing inline, so nothing is turned into a data: address.
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 700,
  },
  server: {
    host: '127.0.0.1',
    port: 8802,
    strictPort: true,
    proxy: { '/api': { target: server, changeOrigin: true, headers: { origin: server } } },
  },
});
