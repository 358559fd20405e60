namespace KitMesh.Storage;

/// <summary>What became of the reports of one write.</summary>
/// <param name="Added">Reports that were new.</param>
/// <param name="Duplicates">Reports that were there already, byte for byte.</param>
/// <param name="Forks">Reports with a taken sequence and other bytes, kept beside the first.</param>
public sealed record StoreReceipt(int Added, int Duplicates, int Forks);
