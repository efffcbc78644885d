/** Hand a file to the user. */
export function saveFile(name: string, content: Blob): void {
  const url = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.dataset.elsewhere = "";
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** A name a file system takes. */
export const fileName = (name: string, ending: string): string =>
  `${name.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "bench"}.${ending}`;
