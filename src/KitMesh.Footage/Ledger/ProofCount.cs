using System.Numerics;
using KitMesh.Domain.Kit;

namespace KitMesh.Footage.Ledger;

/// <summary>How much proof one clip has: what a copy rule compares with.</summary>
internal struct ProofCount
{
    public ushort Copies;
    public ushort Drives;
    public ushort Cases;

    /// <summary>A bit for each known medium that the drives are of.</summary>
    public byte MediaBits;

    public readonly int MediaTypes => BitOperations.PopCount(MediaBits);

    public void Add(bool newDrive, bool newCase, DriveMedium medium)
    {
        Copies += (ushort)(Copies < ushort.MaxValue ? 1 : 0);
        Drives += (ushort)(newDrive ? 1 : 0);
        Cases += (ushort)(newCase ? 1 : 0);

        // A medium that nobody told proves nothing about being another one.
        MediaBits |= (byte)(medium == DriveMedium.Unknown ? 0 : 1 << (int)medium);
    }
}
