using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using NodaTime;

namespace KitMesh.Offload.Engine;

/// <summary>Chapters that the drives know from other cards: a camera with two slots goes on on the other card in the middle of a recording.</summary>
internal sealed class ChaptersElsewhere
{
    // Another camera's file of the same name, weeks older, is no chapter of this recording.
    private static readonly Duration Around = Duration.FromDays(1);

    private readonly HashSet<string> _known;

    /// <summary>Gathers them.</summary>
    /// <param name="drives">The drives.</param>
    /// <param name="card">The card of this run.</param>
    /// <param name="files">Its files.</param>
    public ChaptersElsewhere(IReadOnlyList<OpenDrive> drives, string card, IReadOnlyList<CardFile> files)
    {
        if (files.Count == 0)
        {
            _known = [];
            return;
        }

        Instant from = files.Min(file => file.Modified) - Around;
        Instant to = files.Max(file => file.Modified) + Around;
        _known = new HashSet<string>(
            drives.SelectMany(drive => drive.Copies.Copies)
                .Where(copy => copy.Card != card && copy.Modified >= from && copy.Modified <= to)
                .Select(copy => copy.CardPath),
            StringComparer.Ordinal);
    }

    /// <summary>Whether a chapter is known from another card of those days.</summary>
    /// <param name="path">Its path on a card.</param>
    public bool Has(string path) => _known.Contains(path);
}
