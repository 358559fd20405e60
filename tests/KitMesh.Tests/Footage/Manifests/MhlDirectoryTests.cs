using System.IO.Hashing;
using System.Text;
using KitMesh.Footage.Manifests;

namespace KitMesh.Tests.Footage.Manifests;

/// <summary>
/// ASC MHL, Specification v1.0 of 15 March 2022, Appendix G, on the two clips of its Appendix B example (their XXH64 are those
/// of "abcd\n" and "def\n"). The two directory hashes were computed from Appendix G apart from this code; the text itself
/// publishes none for them. What each hash must notice: Implementation Guidelines v1.0, section 2.5.
/// </summary>
public sealed class MhlDirectoryTests
{
    private static readonly (string Path, byte[] Hash)[] Clips =
    [
        ("Clips/A002C006_141024_R2EC.mov", Convert.FromHexString("0ea03b369a463d9d")),
        ("Clips/A002C007_141024_R2EC.mov", Convert.FromHexString("7680e5f98f4a80fd")),
    ];

    [Fact]
    public void Hash_OfTheExamplesClips_IsWhatAppendixGGives()
    {
        Assert.Equal(Clips[0].Hash, XxHash64.Hash("abcd\n"u8));
        Assert.Equal(Clips[1].Hash, XxHash64.Hash("def\n"u8));

        MhlDirectory clips = Of(Clips)[1];

        Assert.Equal(new MhlDirectory("Clips", "xxh64", "4c226b42e27d7af3", "906faa843d591a9f"), clips);
    }

    [Fact]
    public void Hash_InAnyOrderOfFiles_IsTheSame() => Assert.Equal(Of(Clips), Of([.. Clips.Reverse()]));

    [Fact]
    public void Content_OfARenamedFile_StaysAndStructureChanges()
    {
        IReadOnlyList<MhlDirectory> renamed = Of([("Clips/other.mov", Clips[0].Hash), Clips[1]]);

        for (int i = 0; i < 2; i++)
        {
            Assert.Equal(Of(Clips)[i].Content, renamed[i].Content);
            Assert.NotEqual(Of(Clips)[i].Structure, renamed[i].Structure);
        }
    }

    [Fact]
    public void Both_WhenAFileMovesOrChanges_Change()
    {
        MhlDirectory before = Of(Clips)[0];
        MhlDirectory moved = Of([("Other/A002C006_141024_R2EC.mov", Clips[0].Hash), Clips[1]])[0];
        MhlDirectory altered = Of([(Clips[0].Path, XxHash64.Hash("abce\n"u8)), Clips[1]])[0];

        Assert.All([moved, altered], after =>
        {
            Assert.Equal("", after.Path);
            Assert.NotEqual(before.Content, after.Content);
            Assert.NotEqual(before.Structure, after.Structure);
        });
    }

    [Fact]
    public void Hash_OfAPathThatLeadsOutOrStandsTwice_IsRefused()
    {
        Assert.Throws<ArgumentException>(() => Of([("../a", Clips[0].Hash)]));
        Assert.Throws<ArgumentException>(() => Of([Clips[0], Clips[0]]));
    }

    [Fact]
    public void Read_DirectoryWithATrailingSlashOrALoneHash_TakesTheFirstAndLeavesTheSecond()
    {
        const string Text = """
            <hashlist version="2.0" xmlns="urn:ASC:MHL:v2.0">
              <processinfo><process>in-place</process><roothash><content><xxh64>aa</xxh64></content><structure><xxh64>bb</xxh64></structure></roothash></processinfo>
              <hashes>
                <directoryhash><path>Clips/</path><content><xxh64>cc</xxh64></content><structure><xxh64>dd</xxh64></structure></directoryhash>
                <directoryhash><path>Lone</path><content><xxh64>cc</xxh64></content></directoryhash>
              </hashes>
            </hashlist>
            """;

        MhlManifest read = MhlXml.Read(Encoding.UTF8.GetBytes(Text), out _)!;

        Assert.Equal([new("", "xxh64", "aa", "bb"), new MhlDirectory("Clips", "xxh64", "cc", "dd")], read.Directories);
    }

    private static IReadOnlyList<MhlDirectory> Of((string Path, byte[] Hash)[] files) => MhlDirectoryTree.Hash(files, "xxh64", XxHash64.Hash);
}
