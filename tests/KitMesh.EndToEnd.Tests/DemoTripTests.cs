namespace KitMesh.EndToEnd.Tests;

/// <summary>Tests that look at the demo's data share one demo.</summary>
[CollectionDefinition(Name)]
public sealed class DemoTripTests : ICollectionFixture<DemoTrip>
{
    /// <summary>The collection's name.</summary>
    public const string Name = "demo trip";
}
