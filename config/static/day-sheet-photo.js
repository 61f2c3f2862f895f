"use strict";
/* A photo as the server takes it: JPEG, and no larger than it has to be on a poor line. */

const smallerPhoto = (() => {
  const LONGEST_PX = 2000, SMALL_BYTES = 600000, QUALITY = 0.85;

  return async (blob) => {
    if (blob.type === "image/jpeg" && blob.size <= SMALL_BYTES) return blob;
    try {
      const picture = await createImageBitmap(blob);
      const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(picture.width * scale);
      canvas.height = Math.round(picture.height * scale);
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      return (await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY))) || blob;
    } catch {
      // This phone cannot read the picture: the server says whether it can.
      return blob;
    }
  };
})();
