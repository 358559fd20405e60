using System.Buffers.Binary;
using System.Text;

namespace KitMesh.Domain.Reports;

/// <summary>The chain hash: one value that stands for all reports of an origin up to a sequence.</summary>
/// <remarks>
/// <para>
/// Problem: two nodes must see at a glance whether they hold the same prefix of an origin, and a writer must notice that
/// its disk was restored from an older copy. Method: h(0) = SHA-256("kitmesh chain 2" ‖ 00 ‖ node ‖ 00 ‖ epoch) and
/// h(n) = SHA-256(h(n-1) ‖ n ‖ 00 ‖ the report's bytes), where numbers are 8 bytes big-endian: one hash a report, for a
/// hub that takes in a flood spends its time on little else.
/// </para>
/// <para>
/// Trap: a fork (one sequence with two contents) must give the same value on every node that holds both, in whatever
/// order they came. So its step is SHA-256(h(n-1) ‖ n ‖ 01 ‖ SHA-256 of every content, sorted). A writer's own chain has
/// one content a step, and is what a seal over (origin, sequence, chain hash) attests.
/// </para>
/// </remarks>
public static class ReportChain
{
    private const byte OneContent = 0;
    private const byte Fork = 1;
    private const int HeadBytes = Sha256Hash.Size + sizeof(ulong) + 1;
    private const int MostOnStack = 1024;

    private static readonly byte[] Start = Encoding.ASCII.GetBytes("kitmesh chain 2\0");

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
    /// <param name="report">Its bytes.</param>
    public static Sha256Hash Next(Sha256Hash previous, ulong sequence, ReadOnlySpan<byte> report)
    {
        int length = HeadBytes + report.Length;
        Span<byte> step = length <= MostOnStack ? stackalloc byte[length] : new byte[length];
        report.CopyTo(Head(step, previous, sequence, OneContent));
        return Sha256Hash.Of(step);
    }

    /// <summary>The value after a sequence with more than one content.</summary>
    /// <param name="previous">The value before it.</param>
    /// <param name="sequence">The sequence.</param>
    /// <param name="contents">SHA-256 of each content, sorted, each once; two or more.</param>
    /// <exception cref="ArgumentException">There is no fork, or they are not sorted and distinct.</exception>
    public static Sha256Hash NextFork(Sha256Hash previous, ulong sequence, ReadOnlySpan<Sha256Hash> contents)
    {
        if (contents.Length < 2)
        {
            throw new ArgumentException("A fork has two contents or more.", nameof(contents));
        }

        byte[] step = new byte[HeadBytes + (contents.Length * Sha256Hash.Size)];
        Span<byte> rest = Head(step, previous, sequence, Fork);
        for (int i = 0; i < contents.Length; i++)
        {
            if (i > 0 && contents[i].CompareTo(contents[i - 1]) <= 0)
            {
                throw new ArgumentException("Contents of one sequence go in sorted and distinct.", nameof(contents));
            }

            contents[i].CopyTo(rest[(i * Sha256Hash.Size)..]);
        }

        return Sha256Hash.Of(step);
    }

    private static Span<byte> Head(Span<byte> step, Sha256Hash previous, ulong sequence, byte kind)
    {
        previous.CopyTo(step);
        BinaryPrimitives.WriteUInt64BigEndian(step[Sha256Hash.Size..], sequence);
        step[HeadBytes - 1] = kind;
        return step[HeadBytes..];
    }
}
