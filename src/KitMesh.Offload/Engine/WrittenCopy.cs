namespace KitMesh.Offload.Engine;

/// <summary>A copy that lies on a drive under its final name and was flushed, but is not proven yet.</summary>
/// <param name="Transfer">The file.</param>
/// <param name="Digest">What the card's file hashes to.</param>
/// <param name="Path">Path on the drive.</param>
internal sealed record WrittenCopy(Transfer Transfer, ClipDigest Digest, string Path);
