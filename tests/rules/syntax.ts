import { ts } from "@ts-morph/common";
import type { SourceFile } from "./source-tree.ts";

/** A function with its length: lines that hold code, so blank lines and comments are left out. */
export interface FunctionLength {
  at: string;
  lines: number;
}

/** What the compiler's own parser sees in one file. */
export interface Syntax {
  /** Lines that hold code. */
  lines: number;
  functions: FunctionLength[];
  /** Assertions that a value is not null: `value!`. */
  nonNull: number;
}

function isFunction(node: ts.Node): node is ts.FunctionLikeDeclaration {
  return (
    ts.isFunctionDeclaration(node) ||
    ts.isFunctionExpression(node) ||
    ts.isArrowFunction(node) ||
    ts.isMethodDeclaration(node) ||
    ts.isConstructorDeclaration(node) ||
    ts.isAccessor(node)
  );
}

function nameOf(node: ts.FunctionLikeDeclaration): string {
  const named = node.name ?? (ts.isVariableDeclaration(node.parent) ? node.parent.name : undefined);
  return named?.getText() ?? "a function";
}

/** Numbers of the lines that some token of the file stands on; a string over several lines counts whole. */
function codeLines(source: ts.SourceFile): Set<number> {
  const held = new Set<number>();
  const visit = (node: ts.Node): void => {
    const children = node.getChildren(source);
    if (children.length > 0) {
      for (const child of children) if (!ts.isJSDoc(child)) visit(child);
      return;
    }
    if (node.getWidth(source) === 0) return;
    const first = source.getLineAndCharacterOfPosition(node.getStart(source)).line;
    const last = source.getLineAndCharacterOfPosition(node.end).line;
    for (let line = first; line <= last; line++) held.add(line);
  };
  visit(source);
  return held;
}

/** Read one file. */
export function syntaxOf({ path, text }: SourceFile): Syntax {
  const kind = path.endsWith("x") ? ts.ScriptKind.TSX : ts.ScriptKind.TS;
  const source = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true, kind);
  const held = codeLines(source);
  const functions: FunctionLength[] = [];
  let nonNull = 0;
  const visit = (node: ts.Node): void => {
    if (ts.isNonNullExpression(node)) nonNull += 1;
    if (isFunction(node) && node.body) {
      const first = source.getLineAndCharacterOfPosition(node.getStart(source)).line;
      const last = source.getLineAndCharacterOfPosition(node.end).line;
      let lines = 0;
      for (let line = first; line <= last; line++) if (held.has(line)) lines += 1;
      functions.push({ at: `${path}:${first + 1} ${nameOf(node)}`, lines });
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return { lines: held.size, functions, nonNull };
}
