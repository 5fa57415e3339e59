interface ImportMetaEnv {
  /** The version of weavefuncs that is built. */
  readonly VITE_VERSION: string;
}
