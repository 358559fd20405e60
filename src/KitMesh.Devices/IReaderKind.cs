using KitMesh.Devices.Options;

namespace KitMesh.Devices;

/// <summary>One kind of reader: its name in the agent file, and how its options become a reader.</summary>
/// <remarks>Every kind has the same folder shape: <c>XReaderKind</c>, <c>XReaderOptions</c>, <c>XReader</c>; one line in <see cref="ReaderCatalogue"/>.</remarks>
public interface IReaderKind
{
    /// <summary>What <c>kind:</c> says in the agent file.</summary>
    string Name { get; }

    /// <summary>Reads the options. Problems are added to the map's list; the result is null when there are any.</summary>
    /// <param name="name">The reader's name in the agent file.</param>
    /// <param name="options">The reader's part of the agent file.</param>
    /// <returns>Makes a fresh reader at each start; null when the options are wrong.</returns>
    ReaderFactory? Configure(string name, OptionMap options);
}

/// <summary>Makes a reader in the surroundings it will run in.</summary>
/// <param name="context">Clocks and folders.</param>
public delegate IReader ReaderFactory(ReaderContext context);
