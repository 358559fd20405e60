using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Cards;

namespace KitMesh.Offload.Engine;

/// <summary>What a file on a card tells of itself.</summary>
internal static class ClipLook
{
    /// <summary>Looks into a file's structure; a few small reads.</summary>
    /// <param name="file">The file.</param>
    public static ClipStructure At(CardFile file)
    {
        if (!ClipInspection.Knows(file.Shown))
        {
            return ClipStructure.Unknown;
        }

        try
        {
            using MediaFile open = MediaFile.OpenRead(file.FullPath, wantDirect: false);
            return ClipInspection.Inspect(file.Shown, new Bytes(open, file.Size));
        }
        catch (MediaFault)
        {
            // The reading that follows will say what is wrong with the card.
            return ClipStructure.Unknown;
        }
    }

    /// <summary>The report that a clip was found.</summary>
    /// <param name="request">The offload.</param>
    /// <param name="file">The file.</param>
    /// <param name="clip">Its hash.</param>
    /// <param name="structure">What it tells of itself.</param>
    public static ClipFound Found(OffloadRequest request, CardFile file, ClipHash clip, ClipStructure structure) => new(
        clip, request.Card, request.Insertion, file.Shown, new ByteCount(file.Size), request.Source, structure.Recorded, structure.Length, structure.Damage)
    {
        Timecode = ClipTimes.ParseTimecode(structure.Timecode),
    };

    private sealed class Bytes(MediaFile file, long length) : IClipBytes
    {
        public long Length => length;

        public int Read(long offset, Span<byte> into)
        {
            int done = 0;
            while (done < into.Length && file.Read(offset + done, into[done..]) is var got and > 0)
            {
                done += got;
            }

            return done;
        }
    }
}
