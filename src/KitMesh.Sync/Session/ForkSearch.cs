using System.Buffers.Binary;
using System.Security.Cryptography;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <summary>Finds where two nodes hold different reports under the same sequences.</summary>
/// <remarks>
/// <para>
/// Problem: chain hashes say that something differs in a prefix of perhaps a million reports, not where. Method: each
/// side hashes what it holds in a range; where the hashes differ the range is cut into sixteen and asked again, until it
/// is short enough to name every content. Each step answers only the frame before, so nothing is remembered and a cut
/// session starts over. Two nodes that differ in d places exchange about 16 d log16(n / d) hashes.
/// </para>
/// <para>
/// Trap: a chain hash differs for ever after the first fork and would blame everything behind it; a hash over the range
/// alone does not. The idea is range-based set reconciliation (A. Meyer, "Range-Based Set Reconciliation", SRDS 2023,
/// cited from memory).
/// </para>
/// </remarks>
internal static class ForkSearch
{
    private const int Parts = 16;
    private const ulong ShortRange = 256;
    private const int ChunkSequences = 8_192;

    /// <summary>The hash over everything kept here in a range.</summary>
    public static RangeHash Hash(IJournalView journal, OriginId origin, SequenceRange range)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> entry = stackalloc byte[sizeof(ulong) + Sha256Hash.Size];
        foreach (ReportContent content in All(journal, origin, range))
        {
            BinaryPrimitives.WriteUInt64BigEndian(entry, content.Sequence);
            content.Hash.CopyTo(entry[sizeof(ulong)..]);
            hash.AppendData(entry);
        }

        Span<byte> value = stackalloc byte[Sha256Hash.Size];
        hash.GetHashAndReset(value);
        return new RangeHash(range, Sha256Hash.Read(value));
    }

    /// <summary>The first question about an origin whose contents may differ in some ranges.</summary>
    public static CompareFrame Ask(IJournalView journal, OriginId origin, SequenceRanges ranges) =>
        new(origin, ranges.Take(CompareFrame.MaxRanges).Select(range => Hash(journal, origin, range)).ToValueList());

    /// <summary>The answers to a question: smaller questions, or the contents of short ranges.</summary>
    public static IEnumerable<SessionFrame> Answer(IJournalView journal, CompareFrame question)
    {
        foreach (RangeHash theirs in question.Ranges)
        {
            if (Hash(journal, question.Origin, theirs.Range) == theirs)
            {
                continue;
            }

            if (theirs.Range.Count <= ShortRange)
            {
                yield return Tell(journal, question.Origin, theirs.Range, answer: false);
            }
            else
            {
                yield return new CompareFrame(
                    question.Origin,
                    Cut(theirs.Range).Select(part => Hash(journal, question.Origin, part)).ToValueList());
            }
        }
    }

    /// <summary>Everything kept here in a short range.</summary>
    public static ContentsFrame Tell(IJournalView journal, OriginId origin, SequenceRange range, bool answer) =>
        new(origin, range, All(journal, origin, range).Take(ContentsFrame.MaxContents).ToValueList(), answer);

    /// <summary>What is in the first and not in the second list.</summary>
    public static IEnumerable<ReportContent> Missing(ValueList<ReportContent> from, ValueList<ReportContent> other)
    {
        var known = other.ToHashSet();
        return from.Where(content => !known.Contains(content));
    }

    private static IEnumerable<ReportContent> All(IJournalView journal, OriginId origin, SequenceRange range)
    {
        // Only what is kept is walked: a stranger may ask about a range without end.
        SequenceRanges kept = journal.Have(origin)?.Kept ?? SequenceRanges.Empty;
        foreach (SequenceRange part in kept.Intersect(SequenceRanges.Of(range)))
        {
            foreach (SequenceRange chunk in Pieces(part, ChunkSequences))
            {
                foreach (ReportContent content in journal.Contents(origin, chunk, ChunkSequences))
                {
                    yield return content;
                }
            }
        }
    }

    private static IEnumerable<SequenceRange> Cut(SequenceRange range) => Pieces(range, (range.Count / Parts) + 1);

    private static IEnumerable<SequenceRange> Pieces(SequenceRange range, ulong length)
    {
        ulong first = range.First;
        while (range.Last - first >= length)
        {
            yield return new SequenceRange(first, first + length - 1);
            first += length;
        }

        yield return new SequenceRange(first, range.Last);
    }
}
