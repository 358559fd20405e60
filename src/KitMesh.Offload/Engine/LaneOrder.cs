namespace KitMesh.Offload.Engine;

/// <summary>One step for a hash or a drive, in the order of the read.</summary>
/// <param name="Step">What to do.</param>
/// <param name="Transfer">The file that it is about.</param>
/// <param name="Buffer">Holds the piece, for <see cref="LaneStep.Piece"/> and <see cref="LaneStep.Whole"/>.</param>
/// <param name="Start">Where the piece begins in the buffer.</param>
/// <param name="Offset">Where the piece lies in the file.</param>
/// <param name="Length">Bytes of the piece.</param>
/// <param name="Candidates">For <see cref="LaneStep.Adopt"/>: paths that may hold this file already.</param>
/// <param name="Answer">For <see cref="LaneStep.Adopt"/>: set to true when one does.</param>
internal readonly record struct LaneOrder(
    LaneStep Step,
    Transfer Transfer,
    SharedBuffer? Buffer = null,
    int Start = 0,
    long Offset = 0,
    int Length = 0,
    IReadOnlyList<string>? Candidates = null,
    TaskCompletionSource<bool>? Answer = null)
{
    /// <summary>The piece, and what lies behind it in the buffer.</summary>
    public Span<byte> Bytes => Buffer!.Span[Start..];
}
