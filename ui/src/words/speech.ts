/** The voices that speak on this machine; others would send the words elsewhere. */
function localVoice(): SpeechSynthesisVoice | undefined {
  if (!('speechSynthesis' in globalThis)) return undefined;
  const own = speechSynthesis.getVoices().filter((v) => v.localService);
  return own.find((v) => v.lang.startsWith('en')) ?? own[0];
}

export function canSpeak(): boolean {
  return localVoice() !== undefined;
}

/** Reads words aloud, with a voice of this machine only. */
export function say(words: string): void {
  const voice = localVoice();
  if (!voice) return;
  const utterance = new SpeechSynthesisUtterance(words);
  utterance.voice = voice;
  speechSynthesis.cancel();
  speechSynthesis.speak(utterance);
}
