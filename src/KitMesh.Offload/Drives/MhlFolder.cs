using KitMesh.Disk.Media;
using KitMesh.Footage.Manifests;

namespace KitMesh.Offload.Drives;

/// <summary>The ASC MHL history in a folder: read whole, and only ever appended to.</summary>
/// <param name="Root">The folder that the history is about.</param>
/// <param name="Chain">Every generation as the chain names it, oldest first.</param>
/// <param name="Generations">Every generation.</param>
internal sealed record MhlFolder(string Root, IReadOnlyList<MhlReference> Chain, IReadOnlyList<MhlManifest> Generations)
{
    /// <summary>Reads a history.</summary>
    /// <param name="root">The folder that it is about.</param>
    /// <param name="wrong">What is wrong with it; empty when it is sound or not there.</param>
    /// <returns>The history, empty when there is none; null when it is not sound.</returns>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static MhlFolder? Read(string root, out string wrong)
    {
        wrong = "";
        string folder = $"{root}/{MhlManifest.Folder}";
        string chainFile = $"{folder}/{MhlManifest.ChainFile}";
        if (!File.Exists(chainFile))
        {
            return new MhlFolder(root, [], []);
        }

        if (MhlXml.ReadChain(File.ReadAllBytes(chainFile), out wrong) is not { } chain)
        {
            wrong = $"{chainFile}: {wrong}";
            return null;
        }

        List<MhlManifest> generations = [];
        foreach (MhlReference reference in chain)
        {
            string file = $"{folder}/{reference.Path}";
            if (!File.Exists(file))
            {
                wrong = $"{file} is named in the chain but is not there";
                return null;
            }

            byte[] bytes = File.ReadAllBytes(file);
            if (C4Id.Of(bytes) != reference.C4)
            {
                wrong = $"{file} was altered after it was written";
                return null;
            }

            if (MhlXml.Read(bytes, out wrong) is not { } manifest)
            {
                wrong = $"{file}: {wrong}";
                return null;
            }

            generations.Add(manifest);
        }

        return new MhlFolder(root, chain, generations);
    }

    /// <summary>Adds a generation: first its file, flushed, then the chain that names it.</summary>
    /// <param name="top">The folder that the history is about, held open since the drive was taken.</param>
    /// <param name="manifest">The generation.</param>
    /// <exception cref="MediaFault">The drive refused; the history is as it was.</exception>
    public void Append(MediaFile top, MhlManifest manifest)
    {
        string folder = $"{Root}/{MhlManifest.Folder}";
        MediaFolder.Make(top, MhlManifest.Folder);
        byte[] bytes = MhlXml.Write(manifest);
        string name = MhlManifest.FileName(Chain.Count + 1, Path.GetFileName(Root), manifest.Created);

        // A file of that name that no chain names is what a run that died here left behind.
        WriteNew($"{folder}/{name}", bytes);
        byte[] chain = MhlXml.WriteChain([.. Chain, new MhlReference(name, C4Id.Of(bytes))]);
        string fresh = $"{folder}/.{MhlManifest.ChainFile}.new";
        WriteNew(fresh, chain);
        File.Move(fresh, $"{folder}/{MhlManifest.ChainFile}", overwrite: true);
        MediaFolder.Flush(folder);
    }

    private static void WriteNew(string path, byte[] bytes)
    {
        MediaFolder.RemoveFile(path);
        using MediaFile file = MediaFile.Create(path, wantDirect: false);
        file.Write(0, bytes);
        file.Flush();
    }
}
