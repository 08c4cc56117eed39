// What the person at the command line can put right: said in one line, without a stack.

export class Mistake extends Error {}
