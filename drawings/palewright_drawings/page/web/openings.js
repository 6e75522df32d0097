// Opens a variant file of the maker's own.

const LARGEST = 256 * 1024; // bytes, as the server takes them

/** Begins from a file, or tells in one line why it cannot be read. */
export async function openFile(file, wishes, complain) {
  if (file.size > LARGEST) return complain(`${file.name}: larger than ${LARGEST / 1024} KiB: no variant file.`);
  try {
    const text = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
    wishes.begin("", {}, { name: file.name, text });
  } catch (error) {
    complain(`${file.name}: ${error instanceof TypeError ? "not UTF-8 text: no variant file" : "cannot be read"}.`);
  }
}
