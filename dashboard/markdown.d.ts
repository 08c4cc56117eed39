// A page of the documentation as its text: the bundler's `?raw`.
declare module "*.md?raw" {
  const text: string;
  export default text;
}
