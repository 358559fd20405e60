using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;

namespace KitMesh.Offload.Engine;

/// <summary>What a file on a card tells of itself.</summary>
internal static class ClipLook
{
    /// <summary>What is wrong with the file's structure; null when sound or of an unknown kind.</summary>
    /// <param name="file">The file.</param>
    public static string? Damage(CardFile file) => null;

    /// <summary>The report that a clip was found.</summary>
    /// <param name="request">The offload.</param>
    /// <param name="file">The file.</param>
    /// <param name="clip">Its hash.</param>
    public static ClipFound Found(OffloadRequest request, CardFile file, ClipHash clip) =>
        new(clip, request.Card, request.Insertion, file.Shown, new ByteCount(file.Size), request.Source, null, null, null);
}
