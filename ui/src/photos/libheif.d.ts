declare module 'libheif-js/libheif-wasm/libheif.js';
