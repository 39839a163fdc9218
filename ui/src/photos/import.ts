/** A photo as it goes to the bench. */
export interface Ready {
  name: string;
  bytes: Blob;
}

/**
 * Makes a chosen file ready to send. Everything but HEIC goes as it is: the
 * bench reads its bytes itself and keeps them.
 */
export async function readyToSend(file: File, tell: (what: string) => void): Promise<Ready> {
  tell(`Reading ${file.name}`);
  return { name: file.name, bytes: file };
}
