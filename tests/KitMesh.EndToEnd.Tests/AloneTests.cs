namespace KitMesh.EndToEnd.Tests;

/// <summary>Tests that need the machine for themselves come after all others, one by one.</summary>
[CollectionDefinition(Name, DisableParallelization = true)]
public sealed class AloneTests
{
    /// <summary>The collection's name.</summary>
    public const string Name = "alone";
}
