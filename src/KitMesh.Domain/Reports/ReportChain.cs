using System.Buffers.Binary;
using System.Text;

namespace KitMesh.Domain.Reports;

/// <summary>The chain hash: one value that stands for all reports of an origin up to a sequence.</summary>
/// <remarks>
/// <para>
/// Problem: two nodes must see at a glance whether they hold the same prefix of an origin, and a writer must notice that
/// its disk was restored from an older copy. Method: h(0) = SHA-256("kitmesh chain 1" ‖ 0 ‖ node ‖ 0 ‖ epoch) and
/// h(n) = SHA-256(h(n-1) ‖ n ‖ c), where c is the SHA-256 of the report's bytes and numbers are 8 bytes big-endian.
/// </para>
/// <para>
/// Trap: a fork (one sequence with two contents) must give the same value on every node that holds both, in whatever
/// order they came. So c is every content hash of that sequence, sorted. A writer's own chain has one content a step,
/// and is what a seal over (origin, sequence, chain hash) attests.
/// </para>
/// </remarks>
public static class ReportChain
{
    private static readonly byte[] Start = Encoding.ASCII.GetBytes("kitmesh chain 1\0");

    /// <summary>The value before the first report of an origin.</summary>
    /// <param name="origin">The origin.</param>
    public static Sha256Hash Seed(OriginId origin)
    {
        byte[] node = Encoding.ASCII.GetBytes(origin.Node.Value);
        byte[] text = new byte[Start.Length + node.Length + 1 + sizeof(ulong)];
        Start.CopyTo(text, 0);
        node.CopyTo(text, Start.Length);
        BinaryPrimitives.WriteUInt64BigEndian(text.AsSpan(text.Length - sizeof(ulong)), origin.Epoch);
        return Sha256Hash.Of(text);
    }

    /// <summary>The value after one more report without a fork.</summary>
    /// <param name="previous">The value before it.</param>
    /// <param name="sequence">Its sequence.</param>
    /// <param name="content">SHA-256 of its bytes.</param>
    public static Sha256Hash Next(Sha256Hash previous, ulong sequence, Sha256Hash content) => Next(previous, sequence, [content]);

    /// <summary>The value after one more sequence, with every content that it has.</summary>
    /// <param name="previous">The value before it.</param>
    /// <param name="sequence">The sequence.</param>
    /// <param name="contents">SHA-256 of each content, sorted, each once; more than one is a fork.</param>
    /// <exception cref="ArgumentException">There is no content, or they are not sorted and distinct.</exception>
    public static Sha256Hash Next(Sha256Hash previous, ulong sequence, ReadOnlySpan<Sha256Hash> contents)
    {
        if (contents.IsEmpty)
        {
            throw new ArgumentException("A step of the chain needs a content.", nameof(contents));
        }

        int length = Sha256Hash.Size + sizeof(ulong) + (contents.Length * Sha256Hash.Size);
        Span<byte> step = length <= 512 ? stackalloc byte[length] : new byte[length];
        previous.CopyTo(step);
        BinaryPrimitives.WriteUInt64BigEndian(step[Sha256Hash.Size..], sequence);
        for (int i = 0; i < contents.Length; i++)
        {
            if (i > 0 && contents[i].CompareTo(contents[i - 1]) <= 0)
            {
                throw new ArgumentException("Contents of one sequence go in sorted and distinct.", nameof(contents));
            }

            contents[i].CopyTo(step[(Sha256Hash.Size + sizeof(ulong) + (i * Sha256Hash.Size))..]);
        }

        return Sha256Hash.Of(step);
    }
}
