// Whether DuckDB is here as an npm package.

export function hasDuckdbPackage(): boolean {
  try {
    import.meta.resolve("@duckdb/node-api");
    return true;
  } catch {
    return false;
  }
}
