// A style sheet that a part of the page brings along when it is fetched.
declare module "*.css";
